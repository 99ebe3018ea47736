"""The first screen: from nothing to a score on its map."""

import re
import sys
from asyncio import timeout
from collections.abc import Callable, Sequence
from pathlib import Path
from subprocess import run

import pytest
from msgspec.structs import replace
from textual.events import Key, Paste
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from companion.files.folders import Folders, demo_score
from companion.library.index import update_index
from companion.library.indexed_score import Index
from companion.practice.attempt import Attempt
from companion.score.readers.opening import read_score
from companion.tui.app import CompanionApp
from companion.tui.screens import opening_screen
from companion.tui.screens.indexing_screen import IndexingScreen
from companion.tui.screens.manual_screen import ManualScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.opening_screen import NEW_HERE, OpeningScreen
from companion.tui.screens.reading_screen import ReadingScreen
from companion.tui.widgets.notice import Notice
from tests.journal.noting import note_attempt
from tests.tui.practised_weeks import clock

Practised = Callable[..., Attempt]


def opening(pilot: Pilot[None]) -> OpeningScreen:
    screen = pilot.app.screen
    assert isinstance(screen, OpeningScreen)
    return screen


async def read(pilot: Pilot[None]) -> None:
    """Wait until whatever is being read has been read."""
    while isinstance(pilot.app.screen, ReadingScreen):
        await pilot.pause()
    await pilot.pause()


async def test_enter_alone_opens_the_built_in_score(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        assert opening(pilot).hint == NEW_HERE
        await pilot.press("enter")
        await read(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, MapScreen)
        assert screen.open_score.path == demo_score()


async def test_a_score_that_was_read_before_opens_at_once(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        assert isinstance(pilot.app.screen, MapScreen)
        assert not any(isinstance(screen, ReadingScreen) for screen in pilot.app.screen_stack)


async def test_a_typed_path_is_completed_and_opened(
    demo: Path, app_folders: Folders, own_folder: Path
) -> None:
    folder = own_folder / "scores"
    folder.mkdir()
    (folder / "quartet.musicxml").write_bytes(demo.read_bytes())
    (folder / "quarrel.txt").write_text("no score")
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("o", *"~/sco", "tab")
        field = opening(pilot).query_one(Input)
        assert field.value == "~/scores/"
        assert [suggestion.path for suggestion in opening(pilot).suggestions] == [
            "~/scores/quartet.musicxml"
        ]
        await pilot.press("q", "tab", "enter")
        await read(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, MapScreen)
        assert screen.open_score.path == folder / "quartet.musicxml"


async def test_what_is_pasted_goes_into_the_field(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        pilot.app.post_message(Paste(f"{demo}\n"))
        await pilot.pause()
        assert pilot.app.screen.query_one(Input).value == str(demo)


async def test_after_the_key_that_ends_the_app_no_key_counts(
    app_folders: Folders, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = CompanionApp(app_folders)
    opened: list[object] = []
    async with app.run_test() as pilot:
        await pilot.pause()
        monkeypatch.setattr(app, "push_screen", lambda *what, **_: opened.append(what))
        for key in "qt":  # at once; the second would ask what the timer is for
            app.post_message(Key(key, key))
        await pilot.pause()
    assert app.return_code == 0
    assert opened == []


async def test_a_folder_is_looked_into_from_the_list(
    app_folders: Folders, own_folder: Path
) -> None:
    (own_folder / "scores").mkdir()
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("o", *"~/s", "down", "enter")
        assert opening(pilot).query_one(Input).value == "~/scores/"


async def test_words_find_scores_in_the_libraries_that_were_indexed(
    app_folders: Folders, own_folder: Path
) -> None:
    shelf = own_folder / "shelf"
    shelf.mkdir()
    (shelf / "one.musicxml").write_bytes(demo_score().read_bytes())
    update_index(app_folders, shelf)
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("o", *"ferry 3:2", "down", "enter")
        await read(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, MapScreen)
        assert screen.open_score.path == shelf / "one.musicxml"


async def test_a_wrong_path_is_refused_in_a_sentence_and_kept(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("o", *"~/none.xml", "enter")
        screen = opening(pilot)
        assert screen.problem is not None
        assert "there is no such file" in screen.problem.sentence()
        assert screen.query_one(Input).value == "~/none.xml"
        await pilot.press("escape")
        assert screen.problem is None


async def test_a_file_that_is_no_score_is_refused_in_a_sentence(
    app_folders: Folders, own_folder: Path
) -> None:
    (own_folder / "letter.xml").write_text("Dear friend")
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("o", *"~/letter.xml", "enter")
        await read(pilot)
        screen = opening(pilot)
        assert screen.problem is not None
        assert "letter.xml" in screen.problem.sentence()


async def test_what_was_practised_last_comes_first(
    demo: Path, app_folders: Folders, practised: Practised
) -> None:
    note_attempt(app_folders, practised(0, score_path="/gone/trio.xml", score_title="Trio"))
    note_attempt(
        app_folders,
        practised(9, score_path=str(demo), score_title="Ferry", score_digest="ab" * 16),
    )
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        suggestions = opening(pilot).suggestions
        assert [suggestion.left for suggestion in suggestions[:2]] == ["Ferry", "Trio"]
        assert [suggestion.right for suggestion in suggestions[:2]] == ["1 March 2026", "missing"]
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, MapScreen)


async def test_back_from_a_score_named_at_the_start_is_the_first_screen(
    demo: Path, app_folders: Folders
) -> None:
    read_score(demo, app_folders.cache)
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        assert isinstance(pilot.app.screen, MapScreen)
        assert not list(pilot.app.screen_stack[0].query(OptionList)), "laid out before it is seen"
        assert isinstance(pilot.app, CompanionApp)
        pilot.app.tell("The timer runs.")
        await pilot.press("escape")
        assert opening(pilot).query_one(Notice).text == "The timer runs."
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, MapScreen)


async def test_reading_can_be_stopped(app_folders: Folders, own_folder: Path) -> None:
    tune = own_folder / "tune.abc"
    tune.write_text("X:1\nT:Tune\nM:6/8\nL:1/8\nK:D\n" + "|:DED FEF|A3 A3:|\n" * 200)
    async with CompanionApp(app_folders, tune).run_test() as pilot:
        await pilot.pause()
        assert isinstance(pilot.app.screen, ReadingScreen)
        await pilot.press("escape")
        await read(pilot)
        assert opening(pilot).problem is None


async def test_the_manual_can_be_had_while_typing(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("o", "f1")
        assert isinstance(pilot.app.screen, ManualScreen)


async def test_keys_are_letters_while_a_path_is_typed(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("o", "q", "l", "o")
        assert opening(pilot).query_one(Input).value == "qlo"


FIRST_PAINT = """
import asyncio, sys
from pathlib import Path
from companion.files.folders import Folders
from companion.journal.timing import running_timer
from companion.library.index import update_index
from companion.library.indexed_score import Index
from companion.tui.app import CompanionApp

async def main():
    folders = Folders(Path(sys.argv[1]), Path(sys.argv[1]) / "cache")
    async with CompanionApp(folders, *map(Path, sys.argv[2:])).run_test() as pilot:
        await pilot.pause()
        name = type(pilot.app.screen).__name__
    print(name)
    print(*sorted({"music21", "verovio", "numpy", "lxml", "miniaudio", "mido"} & set(sys.modules)))

asyncio.run(main())
"""


@pytest.mark.parametrize("begins_with", ["nothing", "a score"])
def test_the_first_paint_loads_no_library_for_scores_or_sound(
    demo: Path, app_folders: Folders, begins_with: str
) -> None:
    words = [str(app_folders.data)] + ([str(demo)] if begins_with == "a score" else [])
    told = run(
        [sys.executable, "-c", FIRST_PAINT, *words], capture_output=True, text=True, check=True
    )
    screen, loaded = told.stdout.split("\n")[:2]
    assert screen == ("MapScreen" if begins_with == "a score" else "OpeningScreen")
    assert loaded == ""


# A folder is named and indexed here; everything in it can be found.


def shelf_of(own_folder: Path, titles: Sequence[str]) -> Path:
    """Copies of the built-in score with other titles and composers."""
    shelf = own_folder / "shelf"
    shelf.mkdir()
    source = demo_score().read_text()
    for number, title in enumerate(titles):
        named = re.sub(r"<work-title>.*?</work-title>", f"<work-title>{title}</work-title>", source)
        (shelf / f"score-{number:02}.musicxml").write_text(named)
    return shelf


async def indexed(pilot: Pilot[None]) -> None:
    """Wait until a folder was indexed, and its scores are offered."""
    async with timeout(30):
        while isinstance(pilot.app.screen, IndexingScreen) or not opening(pilot).libraries:
            await pilot.pause()
    await pilot.pause()


async def test_a_folder_is_named_indexed_and_searched(
    app_folders: Folders, own_folder: Path
) -> None:
    shelf_of(own_folder, ["Dance", "Song"])
    (own_folder / "shelf" / "letter.xml").write_text("Dear friend")
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("i", *"she", "tab", "enter")
        await indexed(pilot)
        screen = opening(pilot)
        told = screen.query_one(Notice).text
        assert "2 scores indexed" in told
        assert "1 file could not be read" in told
        assert {"Dance", "Song"} <= {one.left for one in screen.suggestions}
        await pilot.press("o", *"song")
        assert [one.left for one in screen.suggestions] == ["Song"]
        await pilot.press("enter")
        await read(pilot)
        shown = pilot.app.screen
        assert isinstance(shown, MapScreen)
        assert shown.open_score.score.title == "Song"


async def test_a_whole_path_typed_after_the_home_folder_stands_alone(
    app_folders: Folders, own_folder: Path
) -> None:
    shelf = shelf_of(own_folder, ["Dance"])
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("i", *f"{shelf}/")
        assert opening(pilot).query_one(Input).value == f"{shelf}/"
        await pilot.press("enter")
        await indexed(pilot)
        assert "1 score indexed" in opening(pilot).query_one(Notice).text


async def test_paths_that_are_too_long_show_their_ends(
    app_folders: Folders, own_folder: Path
) -> None:
    deep = own_folder / ("a-long-name-" * 8)
    for name in ("opus18", "opus59"):
        (deep / name).mkdir(parents=True)
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        await pilot.press("o", *f"{deep}/")
        offered = opening(pilot).query_one(OptionList)
        lines = [str(offered.get_option_at_index(row).prompt).rstrip() for row in (0, 1)]
        assert all(line.startswith("…") and len(line) <= 80 for line in lines)
        assert [line[-8:] for line in lines] == ["/opus18/", "/opus59/"]


async def test_indexing_can_be_stopped_and_goes_on_later(
    app_folders: Folders, own_folder: Path
) -> None:
    shelf = shelf_of(own_folder, [f"Piece {number}" for number in range(12)])
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("o", *str(shelf), "enter", "escape")
        async with timeout(30):
            while isinstance(pilot.app.screen, IndexingScreen):
                await pilot.pause()
        assert "Stopped" in opening(pilot).query_one(Notice).text
    assert len(update_index(app_folders, shelf).scores) == 12


async def test_more_than_fifty_scores_are_all_offered_and_reached(
    app_folders: Folders, own_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening_screen, "AT_ONCE", 20)
    shelf = shelf_of(own_folder, ["Dance"])
    (known,) = update_index(app_folders, shelf).entries
    many = tuple(replace(known, where=f"{n}.xml".encode(), title=f"Dance {n}") for n in range(70))
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        screen = opening(pilot)
        for _ in range(200):  # its own reading comes first, however late
            if screen.libraries:
                break
            await pilot.pause(0.05)
        read_now = (Index(str(shelf).encode(), many),)
        screen.post_message(OpeningScreen.Read(screen.recent, None, read_now))
        await pilot.press("o", *"dance")
        assert len(screen.suggestions) == 70
        assert screen.hint.startswith("70 scores")
        await pilot.press("down", *["end"] * 6)
        listed = screen.query_one(OptionList)
        assert (listed.option_count, listed.highlighted) == (70, 69)


async def test_it_says_that_nothing_was_found(app_folders: Folders, own_folder: Path) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("o", *"zzz")
        assert "Nothing found for “zzz”" in opening(pilot).hint
        assert "no folder is indexed yet" in opening(pilot).hint
        await pilot.press("escape")
        assert opening(pilot).hint == NEW_HERE


async def test_what_was_opened_is_recent_though_nobody_rated_it(
    demo: Path, app_folders: Folders, practised: Practised
) -> None:
    note_attempt(app_folders, practised(score_path="/gone/trio.xml", score_title="Trio"))
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        assert isinstance(pilot.app.screen, MapScreen)
        await pilot.pause()
        await pilot.press("escape")
        titles = [one.left for one in opening(pilot).suggestions]
        assert titles == ["Four for the Chain Ferry", "Trio"]
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.pause()
        assert [one.left for one in opening(pilot).suggestions] == titles
        await pilot.press("o", *"trio")
        assert [one.left for one in opening(pilot).suggestions] == ["Trio"]


@pytest.mark.parametrize("size", [(80, 24), (140, 40)], ids=["80x24", "140x40"])
def test_the_first_screen_with_a_library(
    app_folders: Folders,
    own_folder: Path,
    practised: Practised,
    size: tuple[int, int],
    snap_compare: Callable[..., bool],
) -> None:
    update_index(app_folders, shelf_of(own_folder, ["A dance for four", "Evening song"]))
    note_attempt(app_folders, practised(score_path="/gone/trio.xml", score_title="Trio in two"))

    async def libraries(pilot: Pilot[None]) -> None:
        await indexed(pilot)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()

    app = CompanionApp(app_folders, clock=clock)
    assert snap_compare(app, terminal_size=size, run_before=libraries)
