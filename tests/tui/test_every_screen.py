"""Every screen in four sizes and three grades of colour: nothing cut, every key there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import pytest
from pytest_textual_snapshot import SVGImageExtension  # type: ignore[import-untyped]
from rich.cells import cell_len
from syrupy.assertion import SnapshotAssertion
from textual.containers import VerticalScroll
from textual.widgets import Static
from textual.widgets._footer import FooterKey

from companion.files.folders import Folders
from companion.tui.app import CompanionApp
from companion.tui.widgets.changed_lines import OneLine
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from tests.tui.every_screen import WALK, opened, settled, walk

SIZES = ((80, 24), (140, 40), (200, 50), (60, 20))
DRAWN = SIZES[:2]
"""In these every screen is drawn; the main ones in all."""
MAIN = {"map", "passage", "drill", "today"}
GRADES: dict[str, dict[str, str]] = {
    "full": {},
    "sixteen": {"TERM": "xterm-16color", "COLORTERM": ""},
    "none": {"NO_COLOR": "1"},
}


@pytest.mark.parametrize("grade", GRADES)
async def test_every_screen(
    app_folders: Folders,
    monkeypatch: pytest.MonkeyPatch,
    snapshot: SnapshotAssertion,
    grade: str,
) -> None:
    for name, value in GRADES[grade].items():
        monkeypatch.setenv(name, value)
    app = opened(app_folders)
    seen: list[str] = []
    wrong: list[str] = []
    different: list[str] = []
    drawn = snapshot.use_extension(SVGImageExtension)

    async def look(name: str) -> None:
        seen.append(name)
        for size in _sizes(grade, len(seen)):
            await pilot.resize_terminal(*size)
            await settled(pilot)
            where = f"{name} {size[0]}x{size[1]}"
            wrong.extend(f"{where}: {one}" for one in faults(app))
            if grade == "none":
                wrong.extend(f"{where}: {one}" for one in colours_left(app))
            if name in ("passage", "drill", "lanes", "taps"):
                wrong.extend(f"{where}: no {one}" for one in "●○" if one not in sent(app))
            if _is_drawn(name, size, grade) and app.export_screenshot() != drawn(name=where):
                different.append(where)

    async with app.run_test(size=SIZES[0]) as pilot:
        await walk(pilot, look)
    assert seen == [step.name for step in WALK]
    assert not wrong, "\n".join(wrong)
    assert not different


def _sizes(grade: str, number: int) -> Sequence[tuple[int, int]]:
    """To and fro, so that a screen begins in the size in which the one before it ended. Colours
    change no line, so that with few of them every other screen is looked at in the same size."""
    if grade == "full":
        return SIZES if number % 2 else SIZES[::-1]
    return [SIZES[number % 4 if grade == "none" else 3 - number % 4]]


def _is_drawn(name: str, size: tuple[int, int], grade: str) -> bool:
    if name in MAIN:
        return True
    return grade == "full" and size in DRAWN


def sent(app: CompanionApp) -> str:
    """The screen as it goes to the terminal."""
    return "\n".join(strip.text for strip in app.screen._compositor.render_strips())


def faults(app: CompanionApp) -> Iterator[str]:
    """What a player would see at once."""
    text, width = sent(app), app.size.width
    yield from (f"wide line {line!r}" for line in text.split("\n") if cell_len(line) != width)
    yield from (f"cut in a word: {found!r}" for found in re.findall(r".{12}\w…(?!\w)", text))
    yield from _lines_cut(app)
    yield from _paragraphs_cut(app)
    yield from _keys_wrong(app)


def _lines_cut(app: CompanionApp) -> Iterator[str]:
    for line in app.screen.query(OneLine):
        shown = str(line.content).removesuffix("…").rstrip()
        if not f"{line.text} ".startswith(f"{shown} "):
            yield f"{line.text!r} is shown as {shown!r}"
        if line.display and "…" in str(line.content):
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
        keys = list(line.query(FooterKey))
        last = max((key.region.right for key in keys), default=0)
        if last > app.size.width + 1:
            yield f"{last} columns of keys"
        for key in keys:
            found = app.screen.active_bindings.get(key.key)
            if found is None or not found.enabled:
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
