"""What the first screen offers: scores by title, composer, and when or where, in columns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from os.path import exists
from pathlib import Path
from typing import TYPE_CHECKING

from rich.cells import cell_len

from companion.errors import CompanionError
from companion.files.folders import demo_score
from companion.library.indexed_score import shown_text
from companion.library.recent_scores import RecentScore
from companion.library.search import folded
from companion.tui.widgets.heading import line_of
from companion.wording.phrases import day_told

if TYPE_CHECKING:
    from companion.library.index_store import FoundScore
    from companion.library.indexed_score import Index


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One line of the list."""

    path: str
    """What it opens; a folder ends in a slash."""
    left: str
    """What it is called."""
    right: str = ""
    """When it was opened, or where it comes from."""
    composer: str = ""


def suggested_scores(
    recent: Sequence[RecentScore], libraries: Sequence[Index], typed: str
) -> Iterator[Suggestion]:
    """What was opened lately, the built-in score, then all that was indexed, each once."""
    words = folded(typed).split()
    composers = {one.digest: one.composer for index in libraries for one in index.entries}
    shown: set[Path] = set()
    for one in recent:
        path = Path(one.path)
        composer = one.composer or composers.get(one.digest, "")
        text = folded(f"{one.title}\n{composer}\n{one.path}")
        if all(word in text for word in words):
            shown.add(path)
            when = day_told(one.at) if exists(path) else "missing"
            yield Suggestion(one.path, shown_text(one.title) or path.name, when, composer)
    if not words:
        yield from _demo(shown)
    for found in _indexed(libraries, typed):
        if found.path not in shown:
            yield Suggestion(
                str(found.path),
                found.title,
                found.where,
                found.composer,
            )


def _indexed(libraries: Sequence[Index], typed: str) -> Iterable[FoundScore]:
    if not libraries:
        return ()
    from companion.library.index_store import found_in

    return found_in(libraries, typed)


def _demo(shown: set[Path]) -> Iterator[Suggestion]:
    try:
        path = demo_score()
    except CompanionError:
        return
    if path not in shown:
        yield Suggestion(str(path), "The built-in score: a quartet in several meters", "demo")


class SuggestionColumns:
    """Title, composer, and the rest at the right edge, in cells of a terminal."""

    def __init__(self, suggestions: Sequence[Suggestion], width: int) -> None:
        self.width = width
        self.composer = min(
            max((cell_len(one.composer) for one in suggestions), default=0), width // 4
        )
        self.right = min(max((cell_len(one.right) for one in suggestions), default=0), width // 3)

    def line(self, one: Suggestion) -> str:
        """One line of the list; without a composer the title has room for it."""
        right = _end_of(one.right, self.right)
        if not one.composer:
            is_path = one.left == one.path
            left = _end_of(one.left, self.width - cell_len(right)) if is_path else one.left
            return line_of(left, right, self.width)
        title = line_of(one.left, "", self.width - self.composer - self.right - 4)
        return f"{title}  {line_of(one.composer, right, self.composer + 2 + self.right)}"


def _end_of(path: str, width: int) -> str:
    """What a path ends in tells the most."""
    while cell_len(path) > width:
        path = "…" + path[2:]
    return path
