"""The built-in exercises: each opens, plays, has a goal, and shows what it says it shows.

Every feature is looked for twice: by the program itself (as `companion exercise check` does),
and here by counting in what music21 reads from the same score.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import gettempdir

import pytest

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.plan import planned
from companion.exercise.drill_on_score import (
    DrillOnScore,
    click_settings_of_drill,
    made_score,
)
from companion.files.folders import Folders
from companion.session.open_exercise import (
    CheckedExercise,
    built_in_exercises,
    built_in_files,
    check_exercise,
    exercise_library_folder,
)
from tests.exercise.heard import HeardBar, beats, has_ratio, heard, pitches

EVERY = sorted(built_in_files())
NOWHERE = Folders(Path(gettempdir(), "nobody"), Path(gettempdir(), "nobody", "cache"))
EXERCISES = {one.name: one.exercise for one in built_in_exercises()}
DRILLS = [
    f"{name} {number}" for name in EVERY for number in range(1, len(EXERCISES[name].drills) + 1)
]
"""Every drill: `bow/five_over_two 2`."""

# Open strings, and a fifth above the highest (common practice, no source): MIDI numbers.
STRINGS = {"violin": (55, 76 + 7), "viola": (48, 69 + 7), "cello": (36, 57 + 7)}


@cache
def checked(name: str) -> CheckedExercise:
    return check_exercise(built_in_files()[name], NOWHERE)


def laid(drill: str) -> DrillOnScore:
    name, number = drill.split()
    return checked(name).drills[int(number) - 1]


@cache
def score(drill: str) -> bytes:
    assert laid(drill).drill.pattern
    return made_score(laid(drill).drill, drill)


@cache
def parts(drill: str) -> list[list[HeardBar]]:
    return heard(score(drill))


def mine_and_others(drill: str) -> tuple[list[HeardBar], list[list[HeardBar]]]:
    own = laid(drill).passage.part
    return parts(drill)[own], [part for at, part in enumerate(parts(drill)) if at != own]


def claims(drill: str) -> tuple[str, ...]:
    name, number = drill.split()
    return EXERCISES[name].drills[int(number) - 1].shows


def claiming(*words: str) -> list[str]:
    """The drills with a feature that ends with one of the words."""
    return [drill for drill in DRILLS if any(claim.endswith(words) for claim in claims(drill))]


def text(name: str) -> str:
    return built_in_files()[name].read_text("utf-8")


def test_half_of_them_have_several_ways_to_practise_their_idea() -> None:
    several = [one.drills for one in EXERCISES.values() if len(one.drills) > 1]
    assert len(several) >= len(EVERY) / 2
    for drills in several:
        asked = [(one.pattern, one.part, one.silences) for one in drills]
        assert len(set(asked)) == len({one.title for one in drills}) == len(drills)
        assert all(one.title and one.listen for one in drills)


def test_there_are_more_than_forty_and_each_kind_is_among_them() -> None:
    assert len(EVERY) >= 40
    everything = {feature for drill in DRILLS for feature in claims(drill)}
    ratios = {feature.split()[0] for feature in everything if ":" in feature}
    assert ratios >= {"3:2", "2:3", "4:3", "3:4", "5:2", "2:5", "5:3", "5:4"}
    assert everything >= {
        *("hemiola", "beat = beat", "note = note", "interlock", "after-beats"),
        *("entries from rests", "additive meter", "mixed meter", "travelling barlines"),
        "silences",
    }
    names = " ".join(line.split(":")[0] for name in EVERY for line in text(name).split("\n"))
    assert all(instrument in names for instrument in ("Violin", "Viola", "Cello", "Clap"))


@pytest.mark.parametrize("name", EVERY)
def test_it_says_how_hard_it_is_and_what_it_shows(name: str) -> None:
    exercise = EXERCISES[name]
    assert exercise.level and exercise.instructions
    assert any(drill.shows for drill in exercise.drills)
    assert text(name).count("\ngoal = {") == len(exercise.drills)


@pytest.mark.parametrize("drill", DRILLS)
def test_it_opens_plays_and_has_a_goal(drill: str) -> None:
    one = laid(drill)
    assert one.drill.listen and one.drill.tempo is not None
    click = planned(one.passage, one.conflicts, click_settings_of_drill(one))
    assert click.strokes and 5 < click.seconds < 30 * 60


@pytest.mark.parametrize("drill", DRILLS)
def test_it_lies_in_the_range_of_its_instruments(drill: str) -> None:
    names = [part.name.casefold() for part in laid(drill).opened.score.parts]
    for part, sounding in zip(names, pitches(score(drill)), strict=True):
        assert bool(sounding) == (part in STRINGS)
        if sounding:
            low, high = STRINGS[part]
            assert low <= min(sounding) and max(sounding) <= high


@pytest.mark.parametrize("drill", claiming("in the beat", "in the bar"))
def test_the_ratio_is_really_there(drill: str) -> None:
    own, others = mine_and_others(drill)
    for feature in claims(drill):
        if ":" in feature:
            ratio, level = feature.split(" in the ")
            mine, theirs = (int(number) for number in ratio.split(":"))
            assert any(has_ratio(own, other, mine, theirs, level) for other in others), feature


# Where the notes of each kind of hemiola fall, as shares of the bars it takes, and where the
# written meter would want one and none is (New Grove, 1980, as quoted in an encyclopedia).
HEMIOLAS = {
    ("3/4", 2): ({Fraction(0), Fraction(1, 3), Fraction(2, 3)}, Fraction(1, 2)),
    ("6/8", 1): ({Fraction(0), Fraction(1, 3), Fraction(2, 3)}, Fraction(1, 2)),
    ("3/4", 1): ({Fraction(0), Fraction(1, 2)}, Fraction(1, 3)),
}


@pytest.mark.parametrize("drill", claiming("hemiola"))
def test_the_hemiola_is_really_there(drill: str) -> None:
    own, _ = mine_and_others(drill)
    found = False
    for (meter, bars), (heads, missing) in HEMIOLAS.items():
        for at in range(len(own) - bars + 1):
            window = own[at : at + bars]
            struck = {
                (number + share) / bars
                for number, bar in enumerate(window)
                for share in bar.strikes
            }
            same = all(bar.meter == meter for bar in window)
            found |= same and struck == heads and missing not in struck
    assert found


@pytest.mark.parametrize("drill", claiming("interlock", "after-beats"))
def test_the_lines_really_make_one_even_stream(drill: str) -> None:
    for bars in list(zip(*parts(drill), strict=True))[:-1]:
        struck = [at for bar in bars for at in bar.strikes]
        assert len(struck) == len(set(struck))
        assert {Fraction(k, len(struck)) for k in range(len(struck))} == set(struck)


@pytest.mark.parametrize("drill", claiming("after-beats"))
def test_one_has_the_beats_and_the_other_what_comes_after(drill: str) -> None:
    own, (other,) = mine_and_others(drill)
    for mine, theirs in list(zip(own, other, strict=True))[:-1]:
        count = beats(mine.meter)
        assert theirs.strikes == {Fraction(k, count) for k in range(count)}
        assert not mine.strikes & theirs.strikes


@pytest.mark.parametrize("drill", claiming("entries from rests"))
def test_the_part_really_enters_after_a_beat_of_silence(drill: str) -> None:
    own, _ = mine_and_others(drill)
    entries, silent = 0, Fraction(0)
    for bar in own:
        beat = bar.quarters / beats(bar.meter)
        events = [*((at, None) for at in bar.onsets), *bar.rests]
        for _, rest in sorted(events, key=lambda event: event[0]):
            entries += rest is None and silent >= beat
            silent = Fraction(0) if rest is None else silent + rest
    assert entries >= 2


@pytest.mark.parametrize("drill", claiming("additive meter"))
def test_the_meter_is_really_additive(drill: str) -> None:
    own, _ = mine_and_others(drill)
    groups = {tuple(map(int, meter.split("/")[0].split("+"))) for meter in written(drill)}
    assert any(len(set(group)) > 1 for group in groups)
    assert {bar.quarters for bar in own} == {Fraction(sum(group), 2) for group in groups}


def written(drill: str) -> list[str]:
    """Meters with a plus, as the teacher wrote them."""
    return re.findall(r"\d+(?:\+\d+)+/8", laid(drill).drill.pattern)


@pytest.mark.parametrize("drill", claiming("mixed meter"))
def test_the_meters_really_differ_under_common_barlines(drill: str) -> None:
    own, (other,) = mine_and_others(drill)
    assert len(own) == len(other)
    assert all(mine.meter != theirs.meter for mine, theirs in zip(own, other, strict=True))


@pytest.mark.parametrize("drill", claiming("travelling barlines"))
def test_the_barlines_really_travel(drill: str) -> None:
    lines = []
    for part in parts(drill):
        at, found = Fraction(0), {Fraction(0)}
        for bar in part:
            at += bar.quarters
            found.add(at)
        lines.append(found)
    assert len({max(found) for found in lines}) == 1
    assert all(lines[0] & other < lines[0] for other in lines[1:])


BEATS = {"6/8": "quarter.", "2/4": "quarter", "3/4": "quarter"}


@pytest.mark.parametrize("drill", claiming("beat = beat", "note = note"))
def test_the_mark_at_the_change_says_what_stays(drill: str) -> None:
    from lxml import etree

    stays: set[str] = set()
    part = etree.fromstring(score(drill)).find("part")
    assert part is not None
    before = meter = ""
    for measure in part.iterfind("measure"):
        time = measure.find("attributes/time")
        if time is not None:
            before, meter = meter, f"{time.findtext('beats')}/{time.findtext('beat-type')}"
        for metronome in measure.iter("metronome"):
            sides = "".join("." if e.tag.endswith("dot") else f" {e.text}" for e in metronome)
            left, right = sides.split()
            if left == right == "eighth":
                stays.add("note = note")
            elif (left, right) == (BEATS[before], BEATS[meter]):
                stays.add("beat = beat")
    assert stays == {"beat = beat", "note = note"} & set(claims(drill))


@pytest.mark.parametrize("drill", claiming("silences"))
def test_the_click_really_leaves(drill: str) -> None:
    one = laid(drill)
    click = planned(one.passage, one.conflicts, click_settings_of_drill(one))
    with_all = planned(one.passage, one.conflicts, wish_without_silences(drill))
    assert 0 < len(click.strokes) < len(with_all.strokes)


def wish_without_silences(drill: str) -> ClickSettings:
    return replace(click_settings_of_drill(laid(drill)), silences=())


def map_rows() -> dict[str, tuple[int, list[str]]]:
    readme = (exercise_library_folder() / "README.md").read_text("utf-8")
    table = readme.split("## What leads to what")[1].split("\n## ")[0]
    rows = re.findall(r"^\| (\S+/\S+) \| (\d) \| (.*?) ?\|$", table, re.M)
    return {
        name: (int(level), [to for to in leads.split(", ") if to]) for name, level, leads in rows
    }


def test_the_map_has_every_exercise_and_leads_from_easy_to_hard() -> None:
    rows = map_rows()
    assert sorted(rows) == EVERY
    for name, (level, leads) in rows.items():
        assert level == checked(name).file.exercise.level
        assert all(rows[to][0] >= level for to in leads)
    led_to = {to for _, leads in rows.values() for to in leads}
    assert {rows[name][0] for name in set(rows) - led_to} <= {1, 2, 3, 4}


def test_the_course_has_four_weeks_of_exercises_that_get_no_easier() -> None:
    readme = (exercise_library_folder() / "README.md").read_text("utf-8")
    weeks = re.findall(r"^\| (\d) \| .*? \| (.*) \|$", readme.split("## A first course")[1], re.M)
    assert [number for number, _ in weeks] == ["1", "2", "3", "4"]
    levels = [max(map_rows()[name][0] for name in names.split(", ")) for _, names in weeks]
    assert levels == sorted(levels)
