"""Colours that can be told apart by any eye, and signs for any terminal."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.theme import Theme

from companion.files.folders import Folders
from companion.tui.app import CompanionApp
from companion.tui.theme import THEMES, Colours, chosen_colours, keep_colours

Light = tuple[float, float, float]
"""Red, green and blue, linear, 0 to 1."""

# Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of Color Vision
# Deficiency", IEEE TVCG 15 (6), 2009: the matrices for a severity of 1.0. Written from memory;
# that each row keeps white (sums to 1) is checked below.
SEEN = {
    "all cones": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "tritanopia": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
FAR_APART = 30
"""Difference in CIE 1976 L*a*b* that nobody overlooks; 2.3 is just noticeable (Mahy 1994)."""

XTERM = {"ansi_magenta": "#cd00cd", "ansi_red": "#cd0000"}
"""Two of the sixteen colours as xterm has them (its manual, XTerm-col.ad)."""
OWN_GROUNDS = (("#000000", "#e5e5e5"), ("#ffffff", "#000000"))
"""Background and text of a dark and a light terminal."""


def linear(colour: str) -> Light:
    """IEC 61966-2-1."""
    values = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in values
    )
    return red, green, blue


def luminance(light: Light) -> float:
    """WCAG 2.1, "relative luminance"."""
    return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2]


def contrast(one: str, other: str) -> float:
    """WCAG 2.1, "contrast ratio"."""
    darker, lighter = sorted(luminance(linear(colour)) for colour in (one, other))
    return (lighter + 0.05) / (darker + 0.05)


def lab(light: Light) -> Light:
    """CIE 1976, white D65."""
    red, green, blue = light
    x = (0.4124 * red + 0.3576 * green + 0.1805 * blue) / 0.95047
    z = (0.0193 * red + 0.1192 * green + 0.9505 * blue) / 1.08883
    fx, fy, fz = (
        one ** (1 / 3) if one > (6 / 29) ** 3 else one / (3 * (6 / 29) ** 2) + 4 / 29
        for one in (x, luminance(light), z)
    )
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def seen(colour: str, eye: str) -> Light:
    light = linear(colour)
    red, green, blue = (
        min(1.0, max(0.0, sum(a * b for a, b in zip(row, light, strict=True)))) for row in SEEN[eye]
    )
    return red, green, blue


def difference(one: str, other: str, eye: str) -> float:
    pairs = zip(lab(seen(one, eye)), lab(seen(other, eye)), strict=True)
    return float(sum((a - b) ** 2 for a, b in pairs) ** 0.5)


def meant(theme: Theme) -> list[tuple[str, ...]]:
    """Background, my side, the other, where both meet, what went wrong."""
    roles = [theme.primary, theme.secondary, theme.accent, theme.error]
    if theme.background and theme.background.startswith("#"):
        return [(theme.background, *map(str, roles))]
    return [
        (ground, *(XTERM.get(str(role), text) for role in roles)) for ground, text in OWN_GROUNDS
    ]


def test_white_stays_white_for_every_eye() -> None:
    for rows in SEEN.values():
        assert [round(sum(row), 4) for row in rows] == [1, 1, 1]


@pytest.mark.parametrize("eye", SEEN)
@pytest.mark.parametrize("colours", Colours)
def test_both_sides_are_told_apart_by_every_eye(colours: Colours, eye: str) -> None:
    for _, mine, facing, together, _ in meant(THEMES[colours]):
        assert difference(mine, facing, eye) > FAR_APART
        if colours is not Colours.TERMINAL:  # there it is bold, with a row and signs of its own
            for one, other in combinations((mine, facing, together), 2):
                assert difference(one, other, eye) > FAR_APART


@pytest.mark.parametrize(
    ("colours", "least"),
    [
        # WCAG 2.1: 4.5 is level AA, 7 is AAA (1.4.3, 1.4.6), 3 is for signs and bold (1.4.11).
        (Colours.DARK, 4.5),
        (Colours.LIGHT, 4.5),
        (Colours.CONTRAST, 7),
        (Colours.TERMINAL, 3),
    ],
)
def test_what_has_a_colour_can_be_read(colours: Colours, least: float) -> None:
    for ground, *roles in meant(THEMES[colours]):
        assert all(contrast(role, ground) >= least for role in roles)
    theme = THEMES[colours]
    if theme.foreground and theme.panel and theme.foreground.startswith("#"):
        assert contrast(theme.foreground, theme.panel) >= 7


async def test_the_colours_are_chosen_and_kept(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        assert app.theme == "dark"
        await pilot.press("f2", "down", "enter")
        assert app.theme == "light"
    assert chosen_colours(app_folders) is Colours.LIGHT
    assert CompanionApp(app_folders).theme == "light", "before anything is painted"


def test_what_was_kept_and_cannot_be_read_is_no_reason_to_fail(app_folders: Folders) -> None:
    app_folders.data.mkdir(parents=True)
    (app_folders.data / "looks.json").write_text('{"colours": "mauve"}')
    assert chosen_colours(app_folders) is Colours.DARK


async def test_the_palette_offers_the_colours(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test():
        assert "Colours" in [one.title for one in app.get_system_commands(app.screen)]


@pytest.mark.parametrize(("name", "value"), [("NO_COLOR", "1"), ("COLORTERM", "")])
async def test_with_few_colours_the_choice_is_kept_for_other_terminals(
    app_folders: Folders, monkeypatch: pytest.MonkeyPatch, name: str, value: str
) -> None:
    monkeypatch.setenv(name, value)
    monkeypatch.setenv("TERM", "xterm-16color")
    app = CompanionApp(app_folders)
    async with app.run_test() as pilot:
        await pilot.press("f2", "home", "down", "enter")
        assert app.theme == "terminal"
    assert chosen_colours(app_folders) is Colours.LIGHT


@pytest.mark.parametrize("term", ["linux", "dumb"])
async def test_a_terminal_without_our_signs_is_sent_ascii_alone(
    demo: Path, app_folders: Folders, monkeypatch: pytest.MonkeyPatch, term: str
) -> None:
    monkeypatch.setenv("TERM", term)
    app = CompanionApp(app_folders, demo)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for keys in ((), ("n", "m"), ("enter",), ("n",), ("enter",), ("f",)):
            await pilot.press(*keys)
            await app.workers.wait_for_complete()
            await pilot.pause()
            drawn = sent(app)
            assert drawn.isascii(), [line for line in drawn.split("\n") if not line.isascii()]
            assert all(len(line) == 80 for line in drawn.split("\n"))
        assert type(app.screen).__name__ == "DrillScreen"


def sent(app: CompanionApp) -> str:
    """The screen as it goes to the terminal."""
    return "\n".join(strip.text for strip in app.screen._compositor.render_strips())


LOOKS = [
    ("map", (80, 24), "light", {}),
    ("passage", (140, 40), "high contrast", {}),
    ("passage", (80, 24), "dark", {"TERM": "linux", "COLORTERM": ""}),
]


@pytest.mark.parametrize(("screen", "size", "colours", "terminal"), LOOKS)
def test_main_screens_in_other_colours(
    demo: Path,
    app_folders: Folders,
    monkeypatch: pytest.MonkeyPatch,
    snap_compare: Callable[..., bool],
    screen: str,
    size: tuple[int, int],
    colours: str,
    terminal: dict[str, str],
) -> None:
    for name, value in terminal.items():
        monkeypatch.setenv(name, value)
    keep_colours(app_folders, Colours(colours))
    app = CompanionApp(app_folders, demo)

    async def look(pilot: Pilot[None]) -> None:
        keys = {"map": (), "passage": ("enter",), "drill": ("enter", "enter")}[screen]
        for key in ("down", "down", "down", "m", "n", *keys):
            await pilot.press(key)
            await app.workers.wait_for_complete()
            await pilot.pause()

    assert snap_compare(app, terminal_size=size, run_before=look)
