"""The drill screen, played on by keys, with a silent player whose clock the test moves."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from companion.click.plan.layers import Layer
from companion.files.folders import Folders
from companion.journal.log_entries import logged_attempts
from companion.practice.attempt import Outcome
from companion.session.tally import REST_AFTER
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.log_screen import LogScreen
from companion.tui.screens.outcome_screen import OutcomeScreen
from companion.tui.widgets.beat_number import FADED, FRESH, BeatNumber, number_blocks
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.wording.drill_sentences import TIME_FOR_A_REST
from tests.session.small_scores import RATE, three_against_two, whole
from tests.tui.drill_room import BAR, Room

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.pilot import Pilot

SIZES = pytest.mark.parametrize("size", [(80, 24), (140, 40)], ids=["80x24", "140x40"])
HOME = Path(__file__).parents[2]


@pytest.fixture
def room(app_folders: Folders) -> Room:
    return Room(app_folders)


@SIZES
async def test_start_go_faster_choose_layers_finish_and_say_held(
    size: tuple[int, int], room: Room
) -> None:
    async with room.app.run_test(size=size) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        assert "▶ playing, count-in" in room.told
        room.after(BAR + 5)
        assert "Times through at this setting: 1 " in room.told
        before = room.drill.position()
        await room.press(pilot, "up", "shift+up")
        assert "dotted quarter = 66" in room.told
        after = room.drill.position()
        assert before is not None
        assert after is not None
        assert after.place.passes == before.place.passes
        assert float(after.place.into) == pytest.approx(float(before.place.into), abs=1 / RATE)
        await room.press(pilot, "d", "m")
        assert room.drill.setting.layers == (Layer.BEAT, Layer.DIVISION, Layer.THEIRS)
        room.after(8)
        await room.press(pilot, "e")
        assert isinstance(room.app.screen, OutcomeScreen)
        assert room.drill.state == "paused"
        await room.press(pilot, "3")
        assert isinstance(room.app.screen, OutcomeScreen), "what was before is asked next"
        await room.press(pilot, "2")
        noted, earlier = logged_attempts(room.folders)
        assert noted.outcome is Outcome.HELD
        assert noted.tempo == 66
        assert noted.layers == ("beat", "division", "theirs")
        assert noted.repetitions == 1
        assert (earlier.outcome, earlier.repetitions) == (Outcome.SHAKY, 2)
        assert earlier.tempo == 60
        assert earlier.layers == ("beat", "mine", "theirs")
        assert room.said == (
            f"In the log at {noted.at:%H:%M}: held at dotted quarter = 66, once through."
        )


async def test_the_playhead_goes_over_the_lanes_as_the_clock_does(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(0)
        assert "▼" not in room.lanes
        columns = room.screen.query_one(PassageLanes).grid.columns
        first = columns.systems[0][0]
        for beats, column in ((BAR, first.begin), (0.5, first.begin + int(columns.scale / 2))):
            room.after(beats)
            assert room.lanes.splitlines()[0].index("▼") == column


async def test_the_beat_is_seen_as_a_number_that_fills_and_fades(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        beat = room.screen.query_one(BeatNumber)
        seen = []
        for seconds in (0, 0.5, 0.5, 0.5, 0.5):
            room.after(seconds)
            seen.append((beat.number, beat.is_fresh))
        assert seen == [(1, True), (1, False), (2, True), (2, False), (1, True)]
        assert beat.render().plain == number_blocks(1, FRESH)
        room.after(0.5)
        assert beat.render().plain == number_blocks(1, FADED)


async def test_space_pauses_and_goes_on_and_s_begins_anew(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 1)
        await room.press(pilot, "space")
        room.after(50)
        assert "‖ paused, bar 1" in room.told
        await room.press(pilot, "space")
        room.after(1)
        assert "▶ playing, bar 2" in room.told
        await room.press(pilot, "s")
        assert "■ stopped" in room.told
        assert "▼" not in room.lanes


async def test_layers_show_their_state_in_words(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        assert "b beat ON  d division off  m mine ON  t theirs ON" in room.told
        await room.press(pilot, "b", "r", "t")
        assert "b beat off" in room.told
        assert "r resultant ON" in room.told
        await room.press(pilot, "r", "m")
        assert room.drill.setting.layers == (Layer.MINE,)
        assert room.said == "! one layer must stay on. Turn another one on first."


async def test_c_changes_the_count_in(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        for told in ("2 bars", "none", "1 bar"):
            await room.press(pilot, "c")
            assert f"Count-in: {told}" in room.told


async def test_the_caution_goes_with_the_first_sound_and_stays_away(
    app_folders: Folders,
) -> None:
    for is_first in (True, False):
        room = Room(app_folders)
        async with room.app.run_test(size=(80, 24)) as pilot:
            await room.enter(pilot)
            caution = room.screen.query_one("#drill-caution")
            assert caution.display is is_first
            await room.press(pilot, "space")
            assert not caution.display


async def test_a_rest_is_suggested_once(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(REST_AFTER - 1)
        assert room.said == ""
        room.after(1)
        assert room.said == TIME_FOR_A_REST
        room.screen.query_one(Notice).clear()
        room.after(60)
        assert room.said == ""


async def test_another_screen_on_top_holds_the_music(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        await room.press(pilot, "l")
        assert isinstance(room.app.screen, LogScreen)
        assert room.drill.state == "paused"


async def test_a_failing_sound_card_leaves_the_beat_on_the_screen(room: Room) -> None:
    def breaks(frame: int) -> int:
        raise OSError("the device was unplugged")

    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(1)
        room.player.swap(room.drill.render().source, breaks)
        room.after(0)
        assert "the device was unplugged" in room.said
        assert room.drill.state == "playing"
        assert room.screen.query_one(BeatNumber).number == 2


async def test_a_card_that_cannot_be_had_is_told_and_silence_keeps_time(
    app_folders: Folders, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COMPANION_SOUND", "gramophone")
    open_score = three_against_two()
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = DrillScreen(open_score, whole(open_score), app_folders)
        await app.push_screen(screen)
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert screen.query_one(Notice).text.startswith("Playing in silence.")
        assert screen.drill is not None


@pytest.mark.parametrize("size", [(20, 6), (1, 1), (300, 100)])
async def test_no_size_of_terminal_breaks_it(size: tuple[int, int], room: Room) -> None:
    async with room.app.run_test(size=size) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 1)
        await room.press(pilot, "e", "2")
        assert len(logged_attempts(room.folders)) == 1


@SIZES
def test_the_drill_as_a_picture(
    size: tuple[int, int], room: Room, snap_compare: Callable[..., bool]
) -> None:
    async def look(pilot: Pilot[None]) -> None:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 1.5)
        await room.press(pilot, "space")

    assert snap_compare(room.app, terminal_size=size, run_before=look)


def test_looking_at_a_passage_loads_neither_arrays_nor_a_sound_library() -> None:
    code = "import sys, companion.tui.screens.passage_screen; print(*sys.modules)"
    told = subprocess.run(
        [sys.executable, "-c", code], check=True, capture_output=True, text=True, cwd=HOME
    )
    loaded = {name.split(".")[0] for name in told.stdout.split()}
    assert not loaded & {"numpy", "miniaudio", "lxml", "music21", "verovio"}
