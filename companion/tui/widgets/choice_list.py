"""A list to choose from, as every screen of the program has it."""

from __future__ import annotations

from contextlib import suppress

from textual.widgets import OptionList


class ChoiceList(OptionList):
    """The toolkit's, which fails when a page is turned before the list was laid out."""

    def action_page_up(self) -> None:
        """A page up."""
        with suppress(KeyError, IndexError):
            super().action_page_up()  # type: ignore[no-untyped-call]

    def action_page_down(self) -> None:
        """A page down."""
        with suppress(KeyError, IndexError):
            super().action_page_down()  # type: ignore[no-untyped-call]
