"""What is read from a music stand a metre away: the beat, the bar and the tempo in large figures,
and what comes next. The lanes stand below it.

The figures are our own, five rows of blocks and as many times larger as there is room for. They
are full while a beat is fresh and faint after that.
"""

from __future__ import annotations

from dataclasses import dataclass

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widgets import Static

from companion.tui.widgets.beat_number import FADED, FRESH, HEIGHT, number_blocks
from companion.tui.widgets.staff_rows import LEAST_HEIGHT

_COLUMNS = 8
"""Columns of one digit with the gap after it, at scale 1."""
_LANES = 5
"""Rows of two lanes with their bars."""
_AROUND = _LANES + 4
"""Rows that are left to them, the heading, the state, the notice and the footer."""
_STATUS = 9
"""Rows above the figures, if a beat is shown in large and small."""
_TALL = 36
"""Rows from which there is room for a staff below."""


@dataclass(frozen=True, slots=True)
class StandNow:
    """What is on."""

    beat: int
    """0 shows none."""
    is_fresh: bool
    bar: str
    """As printed."""
    tempo: str
    """Beats a minute, whole."""
    beat_name: str
    """`dotted quarter`."""
    state: str
    is_silent: bool
    """Whether the click leaves this bar out."""
    coming: tuple[str, ...]
    """This bar and the ones after it, a line each."""


class StandView(Vertical):
    """The upper part of the drill, to be read from far."""

    DEFAULT_CSS = """
    StandView {
        height: auto;
        & #stand-figures { height: auto; padding: 0 1; }
        & #stand-beat { width: 2fr; height: auto; color: $accent; text-style: bold; }
        & #stand-right { width: 3fr; height: auto; }
        & #stand-bar { height: auto; color: $primary; text-style: bold; }
        & #stand-tempo { height: auto; color: $foreground; }
        & #stand-coming { height: auto; padding: 0 1; text-wrap: nowrap; text-overflow: ellipsis; }
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self.now: StandNow | None = None
        self._told: dict[str, str] = {}

    def compose(self) -> ComposeResult:
        """The figures; below them the notes of the next bars (a staff can be mounted there)."""
        with Horizontal(id="stand-figures"):
            yield Static(id="stand-beat", markup=False)
            with Vertical(id="stand-right"):
                yield Static(id="stand-bar", markup=False)
                yield Static(id="stand-tempo", markup=False)
        yield Static(id="stand-coming", markup=False)

    def show(self, now: StandNow) -> None:
        """Tell what is on; what did not change is not painted again."""
        if now != self.now:
            self.now = now
            self._draw(now)

    def on_resize(self) -> None:
        """Figures as large as there is room for."""
        if self.now is not None:
            self._draw(self.now)

    @property
    def text(self) -> str:
        """What is seen, as plain lines."""
        return "\n".join(self._told.values())

    def _draw(self, now: StandNow) -> None:
        height = self.screen.size.height
        below = _AROUND
        if not self.screen.has_class("-stand"):
            below += _STATUS
        elif height >= _TALL:
            below = max(_AROUND + LEAST_HEIGHT - _LANES, height * 2 // 5)
        rows = height - below - len(now.coming)
        large = self._scale(2 / 5, len(str(max(1, now.beat))), rows - 1)
        digits = max(len(now.bar), len(now.tempo))
        tempo = self._scale(3 / 5, digits, (rows - 2) // 2)
        bar = tempo or self._scale(3 / 5, len(now.bar), rows - 2)  # the tempo in words then
        sign = FRESH if now.is_fresh else FADED
        self._put("stand-beat", "beat", str(now.beat or ""), sign, large)
        told = f"bar {now.bar}" + (" · SILENT" if now.is_silent else "")
        self._put("stand-bar", told, now.bar, FADED if now.is_silent else FRESH, bar)
        self._put("stand-tempo", f"{now.beat_name} = {now.tempo}", now.tempo, FRESH, tempo)
        self._update("stand-coming", "\n".join((now.state, *now.coming)))

    def _scale(self, share: float, digits: int, rows: int) -> int:
        """How many times larger figures can be; 0 if there is no room for any."""
        across = int((self.screen.size.width - 2) * share) // (digits * _COLUMNS)
        return max(0, min(across, rows // HEIGHT))

    def _put(self, name: str, said: str, figure: str, fill: str, scale: int) -> None:
        """A figure below its word; the word alone if it is no number or there is no room."""
        drawn = ""
        if scale and figure.isdecimal():
            drawn = number_blocks(int(figure), fill, scale)
        self._update(name, f"{said}\n{drawn}" if drawn else said)

    def _update(self, name: str, told: str) -> None:
        if self._told.get(name) != told:
            self._told[name] = told
            self.query_one(f"#{name}", Static).update(Text(told))
