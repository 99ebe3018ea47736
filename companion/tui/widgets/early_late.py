"""Early and late on a screen: the strip, attempts before it fainter."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from rich.text import Text
from textual.widgets import Static

from companion.wording.phrases import BarNaming
from companion.wording.timing_strip import EARLIER, newest_line, timing_strip

if TYPE_CHECKING:
    from companion.listening.judgement import Judgement


class EarlyLate(Static):
    """The newest line of the strip; takes no room before there is one."""

    DEFAULT_CSS = "EarlyLate { height: auto; max-height: 6; padding: 0 1; display: none; }"

    def show(
        self,
        judged: Judgement,
        name: BarNaming,
        earlier: Sequence[Judgement] = (),
        pulls: Callable[[int], str] | None = None,
    ) -> None:
        """Show how it goes; `pulls` names what pulls in a bar."""
        lines = newest_line(timing_strip(judged, name, earlier, pulls))
        self.display = bool(lines)
        self.update(with_faint_rows(lines))

    def clear_strip(self) -> None:
        """Take no room."""
        self.display = False


def with_faint_rows(lines: Sequence[str]) -> Text:
    """Lines of which those about attempts before are faint."""
    told = Text()
    for n, line in enumerate(lines):
        told.append("\n" * (n > 0) + line, "dim" if line.startswith(EARLIER) else "")
    return told
