"""The engraved passage on the screen, with the library's forced modes."""

from __future__ import annotations

from fractions import Fraction
from io import BytesIO

import pytest
from PIL import Image

from companion.errors import CompanionError
from companion.files.folders import Folders, assets_folder
from companion.part.engraving.passage_picture import EngravedSystem, PictureStyle, engrave_passage
from companion.score.passage import Passage, passage
from companion.score.readers.opening import read_score
from companion.score.staff import staff_bars
from companion.session.lanes import lanes_of
from companion.session.open_score import OpenScore, open_with_choices
from companion.tui.app import CompanionApp
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.theme import THEMES, Colours
from companion.tui.widgets.engraved_passage import (
    NO_PICTURES,
    EngravedPassage,
    place_of,
    ruler_text,
)
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.tui.widgets.picture_terminal import Pictures, is_likely

pytest.importorskip("textual_image")

DEMO = assets_folder() / "demo" / "chain_ferry.musicxml"
VIOLA, VIOLIN = 2, 0


def opened(folders: Folders) -> OpenScore:
    return open_with_choices(read_score(DEMO), folders)


def style() -> PictureStyle:
    return PictureStyle(1120, "#e8e6df", "#16181d", assets_folder() / "fonts")


def ferry(folders: Folders, first: int = 14, last: int = 17) -> Passage:
    """Viola in 6/8 against violins in 2/4, beat = beat."""
    return passage(opened(folders).clock, VIOLA, first, last)


def test_what_is_struck_together_stands_in_one_place(app_folders: Folders) -> None:
    here = ferry(app_folders)
    systems = engrave_passage(DEMO.read_bytes(), here, VIOLIN, style())
    found = [time for system in systems for time, _ in system.moments]
    written = {
        note.at
        for part in (VIOLA, VIOLIN)
        for bar in staff_bars(here.clock, part, 1, here.bars)
        for note in bar.notes
        if note.heads
    }
    assert sorted(written) == found
    for system in systems:
        places = [place for _, place in system.moments]
        assert places == sorted(places)
        assert system.picture.startswith(b"\x89PNG\r\n")


def test_a_passage_the_engraver_cannot_finish_in_time_is_told(app_folders: Folders) -> None:
    with pytest.raises(CompanionError, match="took over"):
        engrave_passage(DEMO.read_bytes(), ferry(app_folders), VIOLIN, style(), limit=0.01)


def test_the_playhead_goes_in_proportion_between_two_notes(app_folders: Folders) -> None:
    here = ferry(app_folders, 14, 14)
    lanes = lanes_of(here, (), VIOLIN)
    start, end = here.start, here.end
    system = EngravedSystem(b"", ((0, 0.0),), ((start, 0.2), (start + 1, 0.6)))
    assert place_of(system, lanes, start + Fraction(1, 2)) == pytest.approx(0.4)
    assert place_of(system, lanes, end) is None
    assert ruler_text(system, lanes, 10, 0, start + 1) == f"[{lanes.labels[0]}]  ▼   "


@pytest.mark.parametrize("pictures", [Pictures.KITTY, Pictures.SIXEL])
async def test_the_page_is_shown_where_pictures_are(
    pictures: Pictures, app_folders: Folders
) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(140, 40)) as pilot:
        open_score = opened(app_folders)
        screen = PassageScreen(open_score, ferry(app_folders), app_folders)
        await app.push_screen(screen)
        engraved = screen.query_one(EngravedPassage)
        engraved.engrave(pictures)
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert engraved.has_class("-engraved")
        rulers = [str(ruler.render()) for ruler in engraved.query(".ruler")]
        assert "[B 13]" in rulers[0]
        screen.query_one(PassageLanes).playhead = open_score.clock.bars[14].start
        await pilot.pause()
        assert "▼" in "".join(str(ruler.render()) for ruler in engraved.query(".ruler"))
        await pilot.press("i")
        assert not engraved.has_class("-engraved")


async def test_the_page_takes_the_colours_of_another_theme(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(140, 40)) as pilot:
        screen = PassageScreen(opened(app_folders), ferry(app_folders), app_folders)
        await app.push_screen(screen)
        engraved = screen.query_one(EngravedPassage)
        engraved.engrave(Pictures.KITTY)
        await app.workers.wait_for_complete()
        await pilot.pause()
        dark = engraved.systems[0].picture
        assert paper(dark) == bytes.fromhex(str(THEMES[Colours.DARK].background)[1:])
        await pilot.press("f2", "down", "enter")
        await pilot.pause()
        await app.workers.wait_for_complete()
        await pilot.pause()
        light = engraved.systems[0].picture
        assert paper(light) == bytes.fromhex(str(THEMES[Colours.LIGHT].background)[1:])
        assert engraved.has_class("-engraved")


def paper(png: bytes) -> bytes:
    """Red, green and blue of the upper left corner."""
    colour = Image.open(BytesIO(png)).convert("RGB").getpixel((0, 0))
    assert isinstance(colour, tuple)
    return bytes(colour)


async def test_a_passage_that_is_left_is_forgotten(app_folders: Folders) -> None:
    """The app kept every page that had been shown, to tell it of new colours."""
    app = CompanionApp(app_folders)
    async with app.run_test(size=(140, 40)) as pilot:
        screen = PassageScreen(opened(app_folders), ferry(app_folders), app_folders)
        await app.push_screen(screen)
        assert list(app.theme_changed_signal._subscriptions)
        await pilot.press("escape")
        await pilot.pause()
        assert not list(app.theme_changed_signal._subscriptions)


async def test_a_terminal_without_pictures_says_so(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = PassageScreen(opened(app_folders), ferry(app_folders), app_folders)
        await app.push_screen(screen)
        await pilot.press("i")
        assert screen.query_one(Notice).text == NO_PICTURES


def test_only_names_of_terminals_with_pictures_are_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("TMUX", "KITTY_WINDOW_ID", "TERM_PROGRAM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    assert not is_likely()
    monkeypatch.setenv("TERM", "xterm-kitty")
    assert is_likely()
    monkeypatch.setenv("TMUX", "/tmp/tmux")  # pictures do not come through it
    assert not is_likely()
