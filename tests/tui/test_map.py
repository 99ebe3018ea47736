"""The map under a player's fingers: moving, choosing, settling, and on to a passage."""

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from companion.files.folders import Folders
from companion.session.open_score import OpenScore, choices_for
from companion.session.score_chart import is_mine
from companion.tui.app import CompanionApp
from companion.tui.screens.assumptions_screen import AssumptionsScreen
from companion.tui.screens.choice_screen import ChoiceScreen
from companion.tui.screens.findings_screen import FindingsScreen
from companion.tui.screens.go_to_screen import GoToScreen
from companion.tui.screens.help_screen import EVERYWHERE, HelpScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.opening_screen import OpeningScreen
from companion.tui.widgets.bar_details import BarDetails
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.notice import Notice

Laid = Callable[..., OpenScore]
SIZES = [(80, 24), (140, 40)]


def the_map(pilot: Pilot[None]) -> MapScreen:
    screen = pilot.app.screen
    assert isinstance(screen, MapScreen)
    return screen


def told(pilot: Pilot[None]) -> str:
    return the_map(pilot).query_one(BarDetails).text


def notice(pilot: Pilot[None]) -> str:
    return the_map(pilot).query_one(Notice).text


def drawn(screen: MapScreen) -> list[str]:
    return [
        strip.text.rstrip() for strip in screen.score_map.render_lines(screen.score_map.size.region)
    ]


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "140x40"])
async def test_the_demo_shows_six_eight_beside_two_four(
    demo: Path, app_folders: Folders, size: tuple[int, int]
) -> None:
    async with CompanionApp(app_folders, demo).run_test(size=size) as pilot:
        await pilot.press("n")
        screen = the_map(pilot)
        assert screen.score_map.bar == 14
        rows = {line[2:].split("  ")[0].strip(): line for line in drawn(screen)}
        column = rows["bar"].index("13")
        assert rows["Violin I"][column:].startswith("2/4━ ━2━━")
        assert rows["Cello"][column:].startswith("6/8━ ━3━━")
        assert rows["what pulls"][column:].startswith("[3:2 beat")
        assert "Conflict 1 of" in told(pilot)
        assert "3 against 2 in the beat, as written: Viola, Cello in 3" in told(pilot)
        assert "beat = beat since bar 13" in told(pilot)


async def test_arrows_go_by_bar_and_part_and_stop_at_the_edges(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        cursor = the_map(pilot).score_map
        await pilot.press("left", "up")
        assert (cursor.bar, cursor.part) == (1, 0)
        await pilot.press("right", "right", "down")
        assert (cursor.bar, cursor.part) == (3, 1)
        await pilot.press("end", "right", "down", "down", "down")
        assert (cursor.bar, cursor.part) == (61, 3)
        assert cursor.bars_in_sight[-1] == 61
        await pilot.press("home")
        assert cursor.bars_in_sight[0] == 1


async def test_shift_and_arrows_go_by_screens(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        cursor = the_map(pilot).score_map
        shown = len(cursor.bars_in_sight)
        await pilot.press("right", "shift+right")
        assert cursor.bar == 2 + shown
        assert cursor.bars_in_sight[0] == 1 + shown
        await pilot.press("ctrl+left")
        assert (cursor.bar, cursor.bars_in_sight[0]) == (2, 1)


async def test_n_and_p_visit_all_that_pulls_and_say_when_there_are_no_more(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        screen = the_map(pilot)
        await pilot.pause()
        firsts = list(dict.fromkeys(found.first for found in screen.chart.found))
        assert {one.first for one in screen.open_score.periods} <= set(firsts)
        for first in firsts:
            await pilot.press("n")
            assert screen.score_map.bar == first
        await pilot.press("n")
        assert "Nothing pulls after bar" in notice(pilot)
        await pilot.press("p")
        assert screen.score_map.bar == firsts[-2]
        assert notice(pilot) == ""


async def test_once_a_part_is_mine_only_what_it_plays_in_pulls_until_f_shows_everything(
    demo: Path, app_folders: Folders
) -> None:
    """In bar 24 of the demo the viola alone is in 3 against the first violin: none of the
    second violin's business."""
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("f")
        screen = the_map(pilot)
        everything = screen.chart.found
        assert "No part is yours yet" in notice(pilot)
        await pilot.press("down", "m")
        mine = [one for one in everything if is_mine(one, "P2")]
        assert 0 < len(mine) < len(everything)
        right = f"{len(mine)} of {len(everything)} are yours · bar 0 of 60"
        assert screen.query_one(Heading).right == right
        for one in mine:
            await pilot.press("n")
            assert screen.score_map.bar == one.first
        assert f"{len(mine)} of {len(mine)} of yours: 3 against 2" in told(pilot)
        await pilot.press("n")
        assert "Nothing of yours pulls after" in notice(pilot)
        await pilot.press("g", "2", "4", "enter")
        assert "Conflict: none of yours in this bar" in told(pilot)
        assert "Viola in 3" not in told(pilot).split("Next:")[0]
        await pilot.press("f")
        assert notice(pilot) == f"Everything that pulls: {len(everything)}."
        assert "Viola in 3" in told(pilot).split("Next:")[0]
        assert screen.query_one(Heading).right == "bar 24 of 60"
        await pilot.press("f", "down", "down", "m")
        assert screen.chart.found == tuple(one for one in everything if is_mine(one, "P4"))


async def test_j_lists_what_pulls_and_typing_narrows_the_list(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.pause()
        screen = the_map(pilot)
        await pilot.press("j")
        listing = pilot.app.screen
        assert isinstance(listing, FindingsScreen)
        assert len(listing.shown) == len(screen.chart.found)
        await pilot.press(*"3:2", "space", *"viola", "down", "enter")
        chosen = [
            one
            for one, line in zip(screen.chart.found, listing.lines, strict=True)
            if "3:2" in line and "Viola" in line
        ]
        assert the_map(pilot).score_map.bar == chosen[1].first
        await pilot.press("j", *"zzz", "enter")
        assert isinstance(pilot.app.screen, FindingsScreen)
        await pilot.press("escape")
        assert the_map(pilot).score_map.bar == chosen[1].first


async def test_j_lists_only_mine_while_the_map_does(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("down", "m", "j")
        listing = pilot.app.screen
        assert isinstance(listing, FindingsScreen)
        assert all(line.startswith("●") for line in listing.lines)
        assert "are yours" in listing.title_told


async def test_t_asks_once_before_it_overrules_a_mark_of_the_score(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("g", "1", "3", "enter", "t")
        screen = the_map(pilot)
        assert "A mark in the score decides at bar 13. t again overrules it." in notice(pilot)
        assert screen.open_score.choices.relations == {}
        await pilot.press("right", "t")
        assert screen.open_score.choices.relations == {}
        await pilot.press("t")
        assert set(screen.open_score.choices.relations) == {14}


async def test_g_goes_to_a_rehearsal_mark_and_refuses_a_bar_there_is_not(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("g", "9", "9", "enter")
        asking = pilot.app.screen
        assert isinstance(asking, GoToScreen)
        assert "there is no bar 99" in asking.problem
        await pilot.press("backspace", "backspace", "C", "+", "3", "enter")
        assert the_map(pilot).score_map.bar == 25
        await pilot.press("g", "escape")
        assert the_map(pilot).score_map.bar == 25
        await pilot.press("g", "1", "3", "enter")
        assert the_map(pilot).query_one(Heading).right == "bar 13 of 60"
        assert the_map(pilot).score_map.bar == 14


async def test_g_stays_in_the_movement_unless_it_is_told_another(
    laid: Laid, app_folders: Folders
) -> None:
    labels = ["1", "2", "3", "1", "2", "2"]
    open_score = laid({"Viola": "2/4 2/4 2/4 2/4 2/4 2/4"}, labels=labels)
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.app.push_screen(MapScreen(open_score, app_folders))
        await pilot.press("end", "g", "1", "enter")
        assert the_map(pilot).score_map.bar == 4
        await pilot.press("g", "2", "enter")
        asking = pilot.app.screen
        assert isinstance(asking, GoToScreen)
        assert "2 is @5 and @6. Say which." in asking.problem
        await pilot.press("backspace", *"I:2", "enter")
        assert the_map(pilot).score_map.bar == 2
        assert the_map(pilot).query_one(Heading).right == "bar I:2 of 3"


async def test_m_keeps_my_part_before_it_shows_it(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("down", "down", "m")
        screen = the_map(pilot)
        assert choices_for(app_folders, screen.open_score.digest).part == "P3"
        assert notice(pilot) == "Viola is your part."
        assert any(line.startswith("● Viola") for line in drawn(screen))
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        assert the_map(pilot).score_map.part == 2


async def test_a_choice_that_cannot_be_kept_still_holds_and_says_so(
    demo: Path, app_folders: Folders
) -> None:
    app_folders.data.mkdir(parents=True, exist_ok=True)
    (app_folders.data / "scores").write_text("in the way")
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("m")
        assert "could not be kept" in notice(pilot)
        assert the_map(pilot).open_score.choices.part == "P1"


async def test_s_selects_up_to_the_cursor_and_escape_lets_go(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("m", "right", "s", "right", "right")
        assert "practise Violin I, bars 1–3, your selection" in told(pilot)
        await pilot.press("home")
        assert "bars 0–1, your selection" in told(pilot)
        await pilot.press("escape")
        assert "bars 0–3, from here" in told(pilot)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, OpeningScreen)


async def test_t_changes_what_stays_at_a_change_of_meter_and_keeps_it(
    demo: Path, app_folders: Folders
) -> None:
    """Six eights of 6/8 last two beats; where the eighth stays, 3/4 lasts as long, where the
    beat stays, three beats."""
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("g", "3", "6", "enter")
        screen = the_map(pilot)
        length = screen.open_score.clock.bars[35].length
        assert length == 2
        await pilot.press("t")
        assert "beat = beat since bar 35, by your own setting" in told(pilot)
        assert screen.open_score.clock.bars[35].length == 3
        assert choices_for(app_folders, screen.open_score.digest).relations == {36: "beat = beat"}
        await pilot.press("t")
        assert "note = note since bar 35, by custom" in told(pilot)
        assert screen.open_score.clock.bars[35].length == length
        assert choices_for(app_folders, screen.open_score.digest).relations == {}


async def test_t_where_beat_and_note_stay_alike_says_so_and_settles_nothing(
    laid: Laid, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.app.push_screen(MapScreen(laid({"Viola": "2/4 3/4"}), app_folders))
        await pilot.press("right", "t")
        assert "bar 2: beat = beat and note = note change nothing." in notice(pilot)
        assert the_map(pilot).open_score.choices.relations == {}


async def test_t_before_any_change_of_meter_says_there_is_nothing_to_settle(
    demo: Path, app_folders: Folders
) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("t")
        assert "No meter changes up to here" in notice(pilot)


async def test_a_lists_everything_that_was_assumed(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        open_score = the_map(pilot).open_score
        await pilot.press("a")
        listing = pilot.app.screen
        assert isinstance(listing, AssumptionsScreen)
        assert len(listing.lines) == len(open_score.clock.assumptions)
        assert "pickup" in listing.lines[0]
        await pilot.press("escape")
        the_map(pilot)


async def test_enter_asks_whose_part_once_and_then_opens_the_conflict(
    demo: Path, app_folders: Folders
) -> None:
    from companion.tui.screens.passage_screen import PassageScreen

    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("n", "down", "enter")
        assert isinstance(pilot.app.screen, ChoiceScreen)
        await pilot.press("escape")
        assert the_map(pilot).open_score.my_part is None
        await pilot.press("enter", "enter")
        opened = pilot.app.screen
        assert isinstance(opened, PassageScreen)
        assert (opened.passage.part_name, opened.passage.first, opened.passage.last) == (
            "Violin II",
            14,
            21,
        )
        await pilot.press("escape")
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, PassageScreen)


async def test_help_lists_every_key_the_map_has(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("question_mark")
        helping = pilot.app.screen
        assert isinstance(helping, HelpScreen)
        keys = " ".join(key for key, _ in helping.keys).lower()
        for key in ("n", "p", "f", "j", "g", "m", "s", "t", "a", "enter"):
            assert key in keys.split()
        await pilot.press("question_mark")
        the_map(pilot)


async def test_help_lists_every_key_of_the_app(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("question_mark")
        assert isinstance(pilot.app.screen, HelpScreen)
        listed = {key.casefold().replace("?", "question_mark") for key, _ in EVERYWHERE}
        kinds = [kind for kind in CompanionApp.__mro__ if kind.__module__.startswith("companion")]
        bound = {one.key for kind in kinds for one in vars(kind).get("BINDINGS", [])}
        assert {key.casefold() for key in bound} <= listed


async def test_twenty_parts_scroll_and_leave_room_for_the_words(
    laid: Laid, app_folders: Folders
) -> None:
    open_score = laid({f"Part {number}": "6/8 6/8 2/4" for number in range(1, 21)})
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        await pilot.app.push_screen(MapScreen(open_score, app_folders))
        screen = the_map(pilot)
        assert len(screen.score_map.parts_in_sight) < 20
        assert screen.query_one(BarDetails).size.height >= 6
        for _ in range(25):
            await pilot.press("down")
        assert screen.score_map.parts_in_sight[-1] == 19
        assert any("Part 20" in line for line in drawn(screen))
        await pilot.resize_terminal(140, 60)
        assert len(screen.score_map.parts_in_sight) == 20


async def test_long_names_of_parts_and_works_are_cut_and_told_in_full(
    laid: Laid, app_folders: Folders
) -> None:
    name = "Violoncello e Contrabbasso obbligato"
    open_score = laid({name: "2/4 2/4", "Viola": "6/8 6/8"})
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        await pilot.app.push_screen(MapScreen(open_score, app_folders))
        assert any("Violoncello…" in line for line in drawn(the_map(pilot)))
        assert f"{name} plays" in told(pilot)


async def test_a_score_without_conflicts_says_so(laid: Laid, app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.app.push_screen(MapScreen(laid({"Viola": "2/4 2/4"}), app_folders))
        assert "Conflict: none in this bar" in told(pilot)
        await pilot.press("n")
        assert "Nothing pulls after bar 1" in notice(pilot)
        await pilot.press("t", "a")
        assert isinstance(pilot.app.screen, AssumptionsScreen)


async def test_the_heading_counts_the_bars(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("right")
        assert the_map(pilot).query_one(Heading).right == "bar 1 of 60"
