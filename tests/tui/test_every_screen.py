"""Every screen in four sizes and three grades of colour: nothing cut, every key there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path

import pytest
from rich.cells import cell_len
from syrupy.assertion import SnapshotAssertion
from syrupy.extensions.single_file import SingleFileSnapshotExtension, WriteMode
from textual.containers import VerticalScroll
from textual.widgets import Static

from companion.files.folders import Folders
from companion.tui.app import CompanionApp
from companion.tui.widgets.changed_lines import OneLine
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from tests.tui.every_screen import WALK, opened, settled, walk
from tests.tui.screen_text import Seen, as_text, seen

Size = tuple[int, int]
SIZES: tuple[Size, ...] = ((80, 24), (140, 40), (200, 50), (60, 20))
GRADES: dict[str, dict[str, str]] = {
    "full": {"TERM": "xterm-256color", "COLORTERM": "truecolor"},
    "sixteen": {"TERM": "xterm-16color", "COLORTERM": ""},
    "none": {"NO_COLOR": "1"},
}


class TextFile(SingleFileSnapshotExtension):
    """One screen in one size, as `screen_text` tells it."""

    _file_extension = "txt"
    _write_mode = WriteMode.TEXT


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_screen(
    own_folder: Path, monkeypatch: pytest.MonkeyPatch, snapshot: SnapshotAssertion, size: Size
) -> None:
    wrong: list[str] = []
    screens: dict[str, dict[str, Seen]] = {step.name: {} for step in WALK}
    for grade, environment in GRADES.items():
        home = own_folder / grade
        home.mkdir()
        with monkeypatch.context() as patch:
            for name, value in {**environment, "HOME": str(home)}.items():
                patch.setenv(name, value)
            found = await _walked(home, grade, size, wrong)
        assert list(found) == list(screens)
        for name, screen in found.items():
            screens[name][grade] = screen
            if screen.lines != screens[name]["full"].lines:
                wrong.append(f"{name}: the lines are others in {grade}")
    assert not wrong, "\n".join(wrong)
    text = snapshot.use_extension(TextFile)
    others = [name for name, grades in screens.items() if as_text(grades) != text(name=name)]
    assert not others, "git diff shows how, after --snapshot-update"


async def _walked(home: Path, grade: str, size: Size, wrong: list[str]) -> dict[str, Seen]:
    """Every screen as it was seen; what is wrong on it is added to the list."""
    app = opened(Folders(home / "companion", home / "companion" / "cache"))
    found: dict[str, Seen] = {}

    def look(name: str) -> None:
        wrong.extend(f"{name} in {grade}: {one}" for one in faults(app, name))
        if grade == "none":
            wrong.extend(f"{name}: {one}" for one in colours_left(app))
        found[name] = seen(app.screen._compositor.render_strips(), app.console._color_system)

    async with app.run_test(size=size) as pilot:
        await walk(pilot, look)
    return found


async def test_every_screen_fits_after_the_terminal_was_resized(app_folders: Folders) -> None:
    """To and fro: a screen begins in the size in which the one before it ended."""
    app = opened(app_folders)
    wrong: list[str] = []
    sizes = cycle((SIZES, SIZES[::-1]))

    async def look(name: str) -> None:
        for size in next(sizes):
            await pilot.resize_terminal(*size)
            await settled(pilot)
            wrong.extend(f"{name} {size[0]}x{size[1]}: {one}" for one in faults(app, name))

    async with app.run_test(size=SIZES[0]) as pilot:
        await walk(pilot, look)
    assert not wrong, "\n".join(wrong)


def sent(app: CompanionApp) -> str:
    """The screen as it goes to the terminal."""
    return "\n".join(strip.text for strip in app.screen._compositor.render_strips())


def faults(app: CompanionApp, name: str) -> Iterator[str]:
    """What a player would see at once."""
    text, width = sent(app), app.size.width
    if name in ("passage", "drill", "lanes", "taps"):
        yield from (f"no {one}" for one in "●○" if one not in text)
    yield from (f"wide line {line!r}" for line in text.split("\n") if cell_len(line) != width)
    yield from (f"cut in a word: {found!r}" for found in re.findall(r".{12}\w…(?!\w)", text))
    yield from _lines_cut(app)
    yield from _paragraphs_cut(app)
    yield from _keys_wrong(app)


def _lines_cut(app: CompanionApp) -> Iterator[str]:
    for line in app.screen.query(OneLine):
        if not line.display:
            continue
        shown = str(line.content).removesuffix("…").rstrip()
        if not f"{line.text} ".startswith(f"{shown} "):
            yield f"{line.text!r} is shown as {shown!r}"
        if "…" in str(line.content):
            yield f"no item of {line.text!r} has room whole"
    for heading in app.screen.query(Heading):
        top = sent(app).split("\n")[heading.region.y].rstrip()
        if heading.right and not app.screen.is_modal and not top.endswith(heading.right):
            yield f"{heading.right!r} is not whole in {top!r}"


MAY_BE_CUT = {"passage-words", "part-words"}
"""Sentences of which the most wanted come first."""


def _paragraphs_cut(app: CompanionApp) -> Iterator[str]:
    for one in app.screen.query(Static):
        if not one.is_on_screen or one.id in MAY_BE_CUT or isinstance(one, OneLine):
            continue
        if any(isinstance(above, VerticalScroll) for above in one.ancestors):
            continue
        rows = one.get_content_height(one.app.size, one.app.size, one.content_size.width)
        if rows > one.content_size.height and one.content_size.height:
            yield f"{rows} rows in {one.content_size.height}: {str(one.content)[:40]!r} {one.id}"


def _keys_wrong(app: CompanionApp) -> Iterator[str]:
    for line in app.screen.query(KeyLine):
        if line.render().cell_len > app.size.width + 1:
            yield f"{line.render().plain!r} is wider than the screen"
        if not line._keys:
            yield "no keys"
        for key in line._keys:
            found = app.screen.active_bindings.get(key.key)
            if found is None or found.enabled != key.is_on:
                yield f"{key.key} does nothing"
                continue
            target, name, _ = app._parse_action(found.binding.action, found.node)
            if not hasattr(target, f"action_{name}"):
                yield f"{key.key}: no action {name}"


def colours_left(app: CompanionApp) -> Iterator[str]:
    """Nothing but text is sent, if no colours are wished."""
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            style = segment.style
            for colour in (style.color, style.bgcolor) if style is not None else ():
                if colour is not None and not colour.is_default:
                    yield f"{colour.name} at {segment.text[:20]!r}"
                    return
