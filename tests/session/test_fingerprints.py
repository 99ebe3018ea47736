"""Two files of the same music have the same fingerprints; one other note is one other bar."""

from companion.score.laying import lay
from companion.session.carry import fingerprints
from tests.score.written import score_of

TUNE = "6/8 e e e q. | q. e e e | rh."
UNDER = "6/8 q. q. | h. | e e e q."


def test_the_same_music_under_other_names_is_the_same() -> None:
    one = lay(score_of({"Viola": TUNE, "Cello": UNDER}))
    other = lay(score_of({"Oboe": TUNE, "Bassoon": UNDER}, labels=["7", "8", "9"]))
    assert fingerprints(one, 0) == fingerprints(other, 0)


def test_another_rhythm_is_another_bar() -> None:
    one = lay(score_of({"Viola": TUNE, "Cello": UNDER}))
    other = lay(score_of({"Viola": TUNE.replace("| q. e e e", "| e e e q."), "Cello": UNDER}))
    pairs = zip(fingerprints(one, 0), fingerprints(other, 0), strict=True)
    assert [a == b for a, b in pairs] == [True, False, True]


def test_bars_of_rest_are_told_apart_by_what_the_others_play() -> None:
    clock = lay(score_of({"Viola": "6/8 rh. | rh. | q. q.", "Cello": "6/8 q. q. | h. | h."}))
    first, second, _ = fingerprints(clock, 0)
    assert first != second


def test_a_part_that_ends_early_rests_for_the_remainder() -> None:
    clock = lay(score_of({"Viola": "6/8 q. q.", "Cello": "6/8 q. q. | h."}))
    assert len(fingerprints(clock, 0)) == len(clock.bars)
