"""Keys of the drill that change where one is, who plays along, and how the tempo goes."""

from __future__ import annotations

import json

import pytest
from textual.widgets import Input

from companion.click.plan.tempo_plan import Fixed
from companion.files.folders import Folders
from companion.tui.screens.form_screen import FormScreen
from companion.tui.screens.sound_screen import SoundScreen
from companion.tui.widgets.notice import Notice
from tests.tui.drill_room import BAR, Room


@pytest.fixture
def room(app_folders: Folders) -> Room:
    return Room(app_folders)


async def answer(room: Room, pilot: object, key: str, words: str) -> None:
    """Press a key that asks, type over what is set, and press Enter."""
    from textual.pilot import Pilot

    assert isinstance(pilot, Pilot)
    await room.press(pilot, key)
    assert isinstance(room.app.screen, FormScreen)
    room.app.screen.query_one(Input).value = words
    await room.press(pilot, "enter")


async def test_arrows_go_from_bar_to_bar_while_it_plays(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 0.5)
        await room.press(pilot, "right")
        assert "▶ playing, bar 2" in room.told
        await room.press(pilot, "left")
        assert "▶ playing, bar 1" in room.told


@pytest.mark.parametrize(
    ("keys", "state"),
    [(["space"], "▶ playing"), (["space", "space"], "■ stopped"), (["up"], "■ stopped")],
)
async def test_space_while_the_sound_is_made_is_kept_and_other_keys_say_that_it_loads(
    room: Room, keys: list[str], state: str
) -> None:
    room.card.clear()
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.app.push_screen(room.screen)
        try:
            await pilot.press(*keys)
            assert "oading" in room.said
        finally:
            room.card.set()
        await room.settle(pilot)
        assert room.told.startswith(state)
        assert "oading" not in room.said


async def test_arrows_choose_where_to_begin_while_it_is_stopped(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "right")
        assert "■ stopped, begins at bar 2" in room.told
        await room.press(pilot, "space")
        room.after(BAR + 0.5)
        assert "▶ playing, bar 2" in room.told


async def test_after_a_pause_a_counts_in_to_the_bar_that_was_on(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + BAR + 1.5)
        await room.press(pilot, "space")
        assert "‖ paused, bar 2 · a: again, counted in" in room.told
        await room.press(pilot, "a")
        assert "▶ playing, count-in" in room.told
        room.after(BAR)
        assert "▶ playing, bar 2" in room.told


async def test_bars_the_click_leaves_out_are_marked_for_each_time_through(room: Room) -> None:
    """Of every three bars the third is silent: bar 1 the second time through two bars, bar 2
    the third time, none the first time."""
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await answer(room, pilot, "x", "every 3 bars")
        assert "×" not in room.lanes
        await room.press(pilot, "space")
        room.after(BAR + 2 * BAR + 0.5)
        assert "×1" in room.lanes
        assert "×2" not in room.lanes
        room.after(2 * BAR)
        assert "×2" in room.lanes
        assert "×1" not in room.lanes
        await answer(room, pilot, "x", "none")
        assert "×" not in room.lanes


async def test_a_ladder_is_set_in_words_and_climbed_by_how_it_went(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await answer(room, pilot, "p", "60 to 68 by 4, else back one")
        assert "step 1 of 3 to 68" in room.told
        await room.press(pilot, "space")
        room.after(BAR + 5)
        await room.press(pilot, "e", "3")
        assert room.said.endswith("The ladder goes on at dotted quarter = 64.")
        assert "dotted quarter = 64 · step 2 of 3 to 68" in room.told
        track = room.drill.transport.track
        assert track is not None
        assert track.setting.tempo == Fixed(room.drill.bpm)


async def test_one_press_of_up_moves_the_ladder_and_u_takes_it_back(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await answer(room, pilot, "p", "60 to 68 by 4")
        await room.press(pilot, "up")
        assert "dotted quarter = 61 · past step 1 of 3 to 68" in room.told
        await room.press(pilot, "shift+up", "down", "down")
        assert "dotted quarter = 64 · step 2 of 3 to 68" in room.told
        await room.press(pilot, "pagedown")
        assert "dotted quarter = 59 · before step 1 of 3 to 68" in room.told
        await room.press(pilot, "u")
        assert "dotted quarter = 60 · step 1 of 3 to 68" in room.told
        await room.press(pilot, "u")
        assert "dotted quarter = 60 (assumed; no mark)" in room.told
        await room.press(pilot, "u")
        assert room.said.startswith("No change")


@pytest.mark.parametrize(
    ("start", "goes_on"),
    [
        ("up", 64),  # 61 held: the next of its steps
        ("down", 60),  # 59 held: the first of its steps
    ],
)
async def test_a_ladder_goes_on_from_a_tempo_between_its_steps(
    room: Room, start: str, goes_on: int
) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await answer(room, pilot, "p", "60 to 68 by 4")
        await room.press(pilot, start, "space")
        room.after(BAR + 5)
        await room.press(pilot, "e", "3")
        assert room.said.endswith(f"The ladder goes on at dotted quarter = {goes_on}.")


async def test_up_moves_two_tempos_by_turns_and_leaves_a_ramp_which_u_takes_back(
    room: Room,
) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await answer(room, pilot, "p", "60 and 90, twice each")
        await room.press(pilot, "shift+up")
        assert "= 65 and 95, twice each, now 65" in room.told
        await answer(room, pilot, "p", "60 to 90 over 8 times")
        await room.press(pilot, "up")
        assert room.said == (
            "One tempo now, and no longer 60 to 90 over 8 times: u takes that back."
        )
        await room.press(pilot, "u")
        assert "= 60 to 90 over 8 times, now 60" in room.told


async def test_layers_and_silences_are_undone_one_by_one(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        before = room.drill.setting
        await room.press(pilot, "d")
        await answer(room, pilot, "x", "every 4")
        await room.press(pilot, "u")
        assert "silences: none" in room.told and "d division ON" in room.told
        await room.press(pilot, "u")
        assert room.drill.setting == before


async def test_the_next_time_the_ladder_is_offered_where_it_was_left(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "g")
        assert room.said == "No ladder was left unfinished at these bars: p sets one."
        await answer(room, pilot, "p", "60 to 68 by 4")
        await room.press(pilot, "space")
        room.after(BAR + 5)
        await room.press(pilot, "e", "3", "escape")
    again = Room(room.folders)
    async with again.app.run_test(size=(80, 24)) as pilot:
        await again.enter(pilot)
        assert "g: go on at dotted quarter = 64, where you stopped on" in again.said
        assert "(started 60; to 68)" in again.said
        await again.press(pilot, "g")
        assert "dotted quarter = 64 · step 2 of 3 to 68" in again.told


async def test_silences_are_set_in_words_and_taken_away(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await answer(room, pilot, "x", "every 4, mine only")
        assert "silences: every 4 bars, in conflicts only mine sounds (x)" in room.told
        await answer(room, pilot, "x", "none")
        assert "silences: none (x)" in room.told


async def test_words_that_mean_nothing_are_refused_where_they_stand(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        before = room.drill.setting
        await answer(room, pilot, "p", "faster and faster")
        assert isinstance(room.app.screen, FormScreen)
        assert room.app.screen.problem.startswith("“faster” is no word of a tempo plan.")
        await room.press(pilot, "escape")
        assert room.drill.setting == before


async def test_the_field_shows_what_is_set_now(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        for key, words in (
            ("p", "60"),
            ("w", "beat, mine, theirs"),
            ("x", "none"),
            ("O", "nobody"),
        ):
            await room.press(pilot, key)
            assert room.app.screen.query_one(Input).value == words
            await room.press(pilot, "escape")


async def test_the_others_play_along_with_one_key(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "o")
        assert "Others: ON (o off, O who): all" in room.told
        await answer(room, pilot, "O", "cello, plucked, drone A3")
        assert "Others: ON (o off, O who): Cello, plucked, drone A3" in room.told
        await room.press(pilot, "o")
        assert "Others: off" in room.told


async def test_the_next_drill_lets_them_sound_as_they_did(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await answer(room, pilot, "O", "cello, plucked, drone A3, A=442")
        await room.press(pilot, "escape")
    again = Room(room.folders)
    async with again.app.run_test(size=(80, 24)) as pilot:
        await again.enter(pilot)
        assert "Others: off" in again.told
        await again.press(pilot, "o")
        assert "Others: ON (o off, O who): all, plucked, A=442" in again.told


async def test_layers_without_a_key_are_named(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await answer(room, pilot, "w", "beat, coincidence, rhythm:cello")
        assert "m mine off" in room.told
        assert "coincidence ON  rhythm:Cello ON" in room.told


async def test_the_sound_card_is_given_away_to_be_tried_and_comes_back(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + BAR + 0.5)
        await room.press(pilot, "v")
        assert isinstance(room.app.screen, SoundScreen)
        assert room.player.state == "idle"
        await room.press(pilot, "right", "right", "k")
        kept = json.loads((room.folders.data / "sound.json").read_text("utf-8"))
        assert kept["delay"] == 10
        assert "■ stopped, begins at bar 2" in room.told
        await room.press(pilot, "space")
        assert room.drill.state == "playing"


async def test_a_delay_that_was_not_kept_is_forgotten(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "v", "right", "escape")
        assert not (room.folders.data / "sound.json").exists()


async def test_the_test_click_comes_with_its_caution(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "v", "space")
        screen = room.app.screen
        assert isinstance(screen, SoundScreen)
        assert "volume low" in screen.query_one(Notice).text
        assert screen.listening is not None
        assert screen.listening.is_sounding
        await room.press(pilot, "space")
        assert not screen.listening.is_sounding


async def test_where_the_disk_refuses_the_sound_screen_says_so_and_stays(room: Room) -> None:
    room.folders.data.parent.mkdir(parents=True, exist_ok=True)
    room.folders.data.write_text("a file where the folder should be")
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "v", "right", "k")
        screen = room.app.screen
        assert isinstance(screen, SoundScreen)
        assert screen.query_one(Notice).text.startswith("! ")
