"""The manual: a dozen short pages, read from the folder the program brings along."""

from __future__ import annotations

from dataclasses import dataclass

from companion.errors import RequestError
from companion.files.folders import assets_folder
from companion.score.typed_numbers import index_typed


@dataclass(frozen=True, slots=True)
class ManualPage:
    """One page."""

    name: str
    """The word it is asked for by."""
    title: str
    text: str
    """Markdown without its title."""


def manual_pages() -> list[ManualPage]:
    """All of them, in order. Raises CompanionError if they were not installed."""
    pages = []
    for place in sorted((assets_folder() / "manual").glob("*.md")):
        title, _, text = place.read_text("utf-8").partition("\n")
        pages.append(ManualPage(place.stem[3:], title.removeprefix("# "), text.strip()))
    return pages


def manual_page(typed: str) -> ManualPage:
    """A page by its name, its number from 1 or a beginning. Raises RequestError naming all."""
    pages = manual_pages()
    wanted = typed.strip().casefold()
    if (place := index_typed(wanted, len(pages))) is not None:
        return pages[place]
    found = [one for one in pages if wanted and one.name.startswith(wanted)]
    if len(found) != 1:
        names = ", ".join(one.name for one in pages)
        raise RequestError(f"the manual has no page “{typed}”", next=f"It has: {names}.")
    return found[0]
