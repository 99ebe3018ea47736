"""An order for a click, in a player's words, understood with the score on the stand."""

from fractions import Fraction
from pathlib import Path

import pytest

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import Layer, PartRhythm
from companion.click.plan.silences import Fade
from companion.click.plan.tempo_plan import Fixed, Ladder, Marked
from companion.errors import RequestError
from companion.session.click_file import click_file_name, plan_click, write_click
from companion.session.click_order import (
    ClickOrder,
    click_settings_of_order,
    layer_named,
    other_side,
    passage_of,
)
from tests.score.written import score, score_of
from tests.session.small_scores import opened_for_practice, three_against_two, whole

STAND = three_against_two()
ORDER = ClickOrder("1", "1-2", Fraction(60))


def asked(**words: object) -> ClickSettings:
    order = ClickOrder("1", "1-2", Fraction(60), **words)  # type: ignore[arg-type]
    return click_settings_of_order(STAND, order, passage_of(STAND, order))


def test_beats_a_minute_are_a_tempo_plan_too() -> None:
    assert asked().tempo == Fixed(Fraction(60))
    ladder = Ladder(Fraction(60), Fraction(90), Fraction(4))
    assert asked(tempo=ladder).tempo == ladder


def test_a_click_without_any_tempo_is_refused() -> None:
    with pytest.raises(RequestError, match="needs a tempo"):
        plan_click(STAND, ClickOrder("1", "1"))


def test_another_part_is_found_by_any_of_its_names_and_my_own_is_my_rhythm() -> None:
    open_score = opened_for_practice(score_of({"Violin": "2/4 q q", "Cello": "2/4 h"}))
    mine = whole(open_score)
    assert layer_named(open_score, mine, "rhythm:cel") == PartRhythm(1, "Cello")
    assert layer_named(open_score, mine, "rhythm:2") == PartRhythm(1, "Cello")
    assert layer_named(open_score, mine, "rhythm:violin") is Layer.RHYTHM
    assert layer_named(open_score, mine, "theirs") is Layer.THEIRS


def test_what_is_wanted_of_one_layer_is_gathered() -> None:
    click_settings = asked(
        levels={"theirs": 0.5}, places={"theirs": 0.0, "mine": 1.0}, voices={"theirs": "cup"}
    )
    theirs = click_settings.mix.choice(Layer.THEIRS)
    assert (theirs.level, theirs.place, theirs.voice) == (0.5, 0.0, "cup")
    assert click_settings.mix.choice(Layer.MINE).place == 1.0
    assert click_settings.mix.choice(Layer.BEAT).level == 1.0


def test_a_fade_is_of_a_layer_that_sounds() -> None:
    assert asked(fades=(("theirs", 4, False),)).fades == (Fade(Layer.THEIRS, 4),)
    with pytest.raises(RequestError, match="not among the layers"):
        asked(fades=(("division", 4, False),))


def test_the_other_side_is_who_pulls_against_me_or_has_another_meter() -> None:
    pulling = opened_for_practice(score(V="6/8 q. q.", A="6/8 q. q.", C="2/4 q q"))
    assert other_side(whole(pulling), pulling.conflicts) == 2
    assert other_side(whole(pulling, 2), pulling.conflicts) == 0
    halves = opened_for_practice(score(V="4/4 w", C="2/2 w"))
    assert other_side(whole(halves), halves.conflicts) == 1


def test_where_nobody_is_on_another_side_one_is_told() -> None:
    alone = opened_for_practice(score(V="2/4 q q"))
    with pytest.raises(RequestError, match="nobody is on another side"):
        other_side(whole(alone), alone.conflicts)


def test_a_file_is_named_after_what_is_in_it() -> None:
    assert click_file_name(plan_click(STAND, ORDER)) == f"A study - {first_part()} - bars 1-2 - 60"
    marked = ClickOrder("1", "1", tempo=Marked(Fraction(4, 5)))
    assert click_file_name(plan_click(STAND, marked)).endswith(" - bar 1 - 80 percent of marked")


def first_part() -> str:
    return STAND.score.parts[0].name


def test_names_a_disk_does_not_bear_are_mended() -> None:
    open_score = opened_for_practice(
        score_of({'Viola/1:"x"?*<>|\\\n ': "2/4 q q", "ü" * 300: "2/4 q q"})
    )
    odd = click_file_name(plan_click(open_score, ClickOrder("1", "1", Fraction(60))))
    assert not set(odd) & set('/\\:"?*<>|\n')
    long = click_file_name(plan_click(open_score, ClickOrder("2", "1", Fraction(60))))
    assert len(long) < 100 and long.endswith(" - bar 1 - 60")


@pytest.mark.parametrize("ending", [".wav", ".mid"])
def test_into_a_folder_a_click_finds_its_own_name(ending: str, tmp_path: Path) -> None:
    made = write_click(STAND, ORDER, tmp_path, ending)
    assert [made.path] == list(tmp_path.iterdir())
    assert made.path.suffix == ending


def test_a_folder_cannot_hold_a_click_of_no_known_kind(tmp_path: Path) -> None:
    with pytest.raises(RequestError, match=r"\.wav, \.flac or \.mid"):
        write_click(STAND, ORDER, tmp_path, ".txt")
    assert not list(tmp_path.iterdir())
