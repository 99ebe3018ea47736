"""Bars of ABC added up. Source: the ABC standard 2.1, sections 3.1.7, 4.3, 4.4 and 4.13."""

import pytest

from companion.exercise.pattern.abc_bars import abc_faults

HEAD = "M:2/4\nL:1/8\nK:D\n"


@pytest.mark.parametrize(
    "tune",
    [
        "DEFG|A4|",
        "|:DEFG|A2 z2:|",
        "D/E/F/G/ A2|A3/2B/2 c2|A>BA<B|",  # 4.3, 4.4
        "(3DEF G2|(3DEF (3GAB|(5DEFGA B2|",  # 4.13: five in the time of two in a simple meter
        '[DFA]2 [D2F2]|"Am"A2 !trill!B2|{c}d4|',
        "G2|DEFG|A2|",  # a pickup and what completes it
        "G2|:DEFG|A2:|:B2|DEFG|A2:|",  # halves of a bar at a repeat sign
        "[M:3/4]DEFGAB|A6|",
        "DEFG|Z2|A4|",
    ],
)
def test_full_bars_are_right(tune: str) -> None:
    assert abc_faults(HEAD + tune) == []


@pytest.mark.parametrize(
    ("tune", "told"),
    [
        ("DEFG|A3|A4|", "bar 2 of this ABC lasts 1 1/2 of 2 notes of 1/4"),
        ("DEFG|A4A2|A4|", "bar 2 of this ABC lasts 3 of 2"),
        ("DEFGA|A4|", "bar 1 of this ABC lasts 2 1/2 of 2"),
        ("DEFG|(3DEF G|A4|", "bar 2 of this ABC lasts 1 1/2 of 2"),
        ("DEFG|A2|", "bar 2 of this ABC lasts 1 of 2"),
    ],
)
def test_a_wrong_bar_is_told_with_its_place(tune: str, told: str) -> None:
    (fault,) = abc_faults(HEAD + tune)
    assert fault.what.startswith(told)
    assert (HEAD + tune)[fault.offset - 1] in "|\n"


def test_voices_are_added_up_one_by_one() -> None:
    two = "V:1\nDEFG|A4|\nV:2\nD2E2|F3|F4|\n"
    assert [one.what[:5] for one in abc_faults(HEAD + two)] == ["bar 2"]


def test_the_unit_note_follows_the_meter() -> None:
    """3.1.7: a 16th below 3/4, an eighth from there on."""
    assert abc_faults("M:2/4\nK:D\nDEFGABcd|A8|") == []
    assert abc_faults("M:3/4\nK:D\nDEFGAB|A6|") == []


def test_without_a_meter_or_with_unknown_signs_nothing_is_said() -> None:
    assert abc_faults("K:D\nDEF|G|") == []
    assert abc_faults(HEAD + "DEFG|D?|A4|") == []
