"""The drill's forms: rows and the typed line say the same, and both can be taken back."""

from __future__ import annotations

from fractions import Fraction

import pytest
from textual.events import Key
from textual.pilot import Pilot

from companion.click.plan.tempo_plan import Fixed, Ladder
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.tui.screens.form_screen import FormScreen
from companion.tui.screens.setting_forms import ASKED, setting_form
from companion.tui.widgets.form_row import FormRow
from tests.tui.drill_room import BAR, Room


@pytest.fixture
def room(app_folders: Folders) -> Room:
    return Room(app_folders)


async def form_of(room: Room, pilot: Pilot[None], key: str) -> FormScreen[object, object]:
    await room.press(pilot, key)
    assert isinstance(room.app.screen, FormScreen)
    return room.app.screen


def shown(form: FormScreen[object, object]) -> dict[str, str]:
    """What each row says."""
    return {one.row.label: one.row.shown for one in form.query(FormRow)}


def told(form: FormScreen[object, object]) -> str:
    return form.form.told(form.state)


async def test_a_ladder_is_chosen_by_arrows_alone(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = await form_of(room, pilot, "p")
        await pilot.press("right")
        assert form.line.value == "60 to 75 by 4"
        await pilot.press("down", "down", "right", "down", "down", "right", "down", "right")
        assert form.line.value == "60 to 76 by 4, twice each, else back one"
        assert told(form) == (
            "From dotted quarter = 60 to 76 in 4 steps of 4: one step on when it has held 2 times."
            " After one that failed, one step back."
        )
        await room.press(pilot, "enter")
        assert "step 1 of 5 to 76" in room.told
        assert room.drill.setting.ladder is not None
        assert room.drill.setting.ladder.each == 2


async def test_a_form_that_is_closed_while_it_opens_does_no_harm(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = setting_form("p", room.drill)
        screen = FormScreen(form, room.drill.setting)
        room.app.push_screen(screen)
        screen.dismiss(None)
        await room.settle(pilot)
        assert room.app.screen is room.screen


async def test_a_key_for_a_row_that_went_meanwhile_does_no_harm(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = await form_of(room, pilot, "p")
        before = form.state
        gone = FormRow(form.query(FormRow).first().row, form.type_in_line)
        gone.words = "6"
        form.post_message(FormRow.Stepped(gone, 1))
        form.post_message(FormRow.Typed(gone))
        await pilot.pause()
        assert form.state == before


@pytest.mark.parametrize("rows_down", [0, 1])
async def test_what_is_typed_faster_than_it_is_read_is_not_lost(room: Room, rows_down: int) -> None:
    """Into the line, and over a number."""
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await form_of(room, pilot, "p")
        for key in (*["down"] * rows_down, *"150", "enter"):
            room.app.post_message(Key(key, key if len(key) == 1 else None))
        await room.settle(pilot)
        assert not isinstance(room.app.screen, FormScreen)
        assert room.drill.setting.tempo == Fixed(Fraction(150))


async def type_at_once(room: Room, pilot: Pilot[None], keys: str) -> None:
    """As a terminal sends a text: each key before the one before it is answered."""
    for key in keys:
        room.app.post_message(Key("space" if key == " " else key, key))
    await room.settle(pilot)


@pytest.mark.parametrize("words", ["60 to 90 by 4", "60 and 72, twice each", "72"])
async def test_a_text_that_comes_at_once_is_read_as_it_is_typed(room: Room, words: str) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await type_at_once(room, pilot, f"p{words}")
        form = room.app.screen
        assert isinstance(form, FormScreen)
        for _ in range(400):
            if form.line.value == words:
                return
            await pilot.pause(0.05)
        assert form.line.value == words


async def test_keys_that_come_at_once_go_to_the_row_that_is_there_by_then(room: Room) -> None:
    """The ladder's rows are there when ↓ goes on, and its words follow the focus."""
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        for key in ("p", "right", "down", "5", "2", "down", "8", "0", "enter"):
            room.app.post_message(Key(key, key if len(key) == 1 else None))
        await room.settle(pilot)
        assert room.drill.setting.ladder == Ladder(Fraction(52), Fraction(80), Fraction(4))


async def test_what_is_typed_moves_the_rows_and_numbers_are_typed_over(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = await form_of(room, pilot, "p")
        await pilot.press(*"50 and 70")
        assert shown(form) == {
            "Plan": "two tempos",
            "First": "50",
            "Then": "70",
            "Times each": "1",
        }
        await pilot.press("up", "up", *"72.5")
        assert form.line.value == "50 and 72.5"
        await pilot.press("up", "up", "left", "left", "left")
        assert form.line.value == "50"
        await room.press(pilot, "enter")
        assert room.drill.setting.tempo == Fixed(room.drill.bpm)
        assert room.drill.bpm == 50


async def test_escape_and_the_undo_key_leave_what_stood_there(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        before = room.drill.setting
        form = await form_of(room, pilot, "x")
        await pilot.press("right", "down", "right")
        assert form.line.value == "every 5 bars"
        await pilot.press("ctrl+z")
        assert (form.line.value, shown(form)["Silent"]) == ("none", "none")
        await pilot.press("ctrl+z")
        assert form.line.value == "every 5 bars"
        await room.press(pilot, "escape")
        assert room.drill.setting == before


async def test_the_word_that_means_nothing_is_named_at_once(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        for key, words, problem in (
            ("p", "60 to 90 bye 4", "“bye” is no word of a tempo plan. Did you mean “by”?"),
            ("x", "evry 4 bars", "“evry” is no word of a silence. Did you mean “every”?"),
            ("w", "beat, their", "“their” is not a layer of a click. Did you mean “theirs”?"),
            ("O", "cello, tuba", "there is no part “tuba”"),
        ):
            form = await form_of(room, pilot, key)
            form.line.value = words
            await pilot.pause()
            assert problem in form.problem
            await room.press(pilot, "enter")
            assert room.app.screen is form
            await room.press(pilot, "escape")


async def test_the_word_that_is_typed_is_completed(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = await form_of(room, pilot, "w")
        form.line.focus()
        form.line.value = "beat, coin"
        form.line.cursor_position = len(form.line.value)
        await pilot.pause()
        await pilot.press("right")
        assert form.line.value == "beat, coincidence"


async def test_the_last_layer_cannot_be_turned_off(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = await form_of(room, pilot, "w")
        form.line.value = "beat"
        await pilot.pause()
        await pilot.press("space")
        assert form.problem.startswith("one layer must stay on")
        assert shown(form)["beat"] == "on"


async def test_a_ladder_that_is_left_as_it_is_goes_on_where_it_stands(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = await form_of(room, pilot, "p")
        form.line.value = "60 to 68 by 4"
        await room.press(pilot, "enter", "space")
        room.after(BAR + 5)
        await room.press(pilot, "e", "3", "p", "enter")
        assert "dotted quarter = 64 · step 2 of 3" in room.told


async def test_every_row_says_in_words_what_it_sets(room: Room) -> None:
    """Each row is stepped both ways from each start; the words are read back to the same."""
    starts = {
        "p": ("60", "60 to 90 by 4", "60 to 90 over 8 times", "60 and 90", "80%"),
        "w": ("beat", "mine, theirs, rhythm:cello"),
        "x": ("none", "every 4, mine only", "growing to 4 beats", "random 0.3 times"),
        "O": ("nobody", "all, A=442", "cello, plucked, drone A3"),
    }
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        for key in ASKED:
            form = setting_form(key, room.drill)
            for words in starts[key]:
                start = form.read(words, room.drill.setting)
                for row in form.rows(start):
                    for by in (-1, 1, -row.far, row.far):
                        try:
                            made = form.done(row.step(by))
                        except CompanionError:  # the last layer
                            continue
                        assert form.told(made)
                        again = form.read(form.words(made), made)
                        assert form.words(again) == form.words(made)
                        assert (again.layers, again.silences) == (made.layers, made.silences)
                        assert (again.ladder or again.tempo) == (made.ladder or made.tempo)


def column(row: FormRow, text: str) -> tuple[int, int]:
    """Where something is seen in a row, in its first line."""
    return str(row.render()).index(text), 0


async def test_a_row_is_changed_by_the_mouse(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = await form_of(room, pilot, "p")
        row = form.query(FormRow).first()
        for sign, plan in (("›", "ladder"), ("›", "ramp"), ("‹", "ladder"), ("ramp", "ramp")):
            await pilot.click(row, offset=column(row, sign))
            await pilot.pause()
            assert shown(form)["Plan"] == plan
        await pilot.click(row, offset=column(row, "as marked"))
        assert shown(form)["Plan"] == "as marked"
        assert isinstance(room.drill.setting.tempo, Fixed), "nothing is set before Enter"


async def test_a_click_on_a_row_goes_there_and_chooses_nothing(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = await form_of(room, pilot, "p")
        await pilot.press("right")
        before = shown(form)
        for row in reversed(form.query(FormRow)):
            for seen in (row.row.label, row.row.shown):
                await pilot.click(row, offset=column(row, seen))
                assert form.focused is row
        assert shown(form) == before


async def test_an_option_of_another_row_is_chosen_by_one_click(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        form = await form_of(room, pilot, "p")
        await pilot.press("right")
        row = form.query(FormRow).last()
        await pilot.click(row, offset=column(row, "back one"))
        assert shown(form)["If it fails"] == "back one"
