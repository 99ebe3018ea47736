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
from companion.exercise.drill_on_score import click_settings_of_drill, made_score
from companion.files.folders import Folders
from companion.session.open_exercise import (
    CheckedExercise,
    built_in_files,
    check_exercise,
    exercise_library_folder,
)
from tests.exercise.heard import HeardBar, beats, has_ratio, heard, pitches

EVERY = sorted(built_in_files())
NOWHERE = Folders(Path(gettempdir(), "nobody"), Path(gettempdir(), "nobody", "cache"))

# Open strings, and a fifth above the highest (common practice, no source): MIDI numbers.
STRINGS = {"violin": (55, 76 + 7), "viola": (48, 69 + 7), "cello": (36, 57 + 7)}


@cache
def checked(name: str) -> CheckedExercise:
    return check_exercise(built_in_files()[name], NOWHERE)


@cache
def score(name: str) -> bytes:
    exercise = checked(name).file.exercise
    assert len(exercise.drills) == 1 and exercise.drills[0].pattern
    return made_score(exercise.drills[0], exercise.title)


@cache
def parts(name: str) -> list[list[HeardBar]]:
    return heard(score(name))


def mine_and_others(name: str) -> tuple[list[HeardBar], list[list[HeardBar]]]:
    own = checked(name).drills[0].passage.part
    return parts(name)[own], [part for at, part in enumerate(parts(name)) if at != own]


def claims(name: str) -> tuple[str, ...]:
    return checked(name).file.exercise.drills[0].shows


def claiming(*words: str) -> list[str]:
    """The exercises with a feature that begins or ends with one of the words."""
    return [
        name
        for name in EVERY
        if any(c.endswith(words) for c in re.findall(r'shows = "(.*)"', text(name))[0].split(", "))
    ]


def text(name: str) -> str:
    return built_in_files()[name].read_text("utf-8")


def test_there_are_more_than_forty_and_each_kind_is_among_them() -> None:
    assert len(EVERY) >= 40
    everything = {feature for name in EVERY for feature in claims(name)}
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
def test_it_opens_plays_and_has_a_goal(name: str) -> None:
    exercise, (laid,) = checked(name).file.exercise, checked(name).drills
    assert exercise.level and exercise.instructions and laid.drill.listen and laid.drill.shows
    assert laid.drill.tempo is not None
    assert "\ngoal = {" in text(name)
    click = planned(laid.passage, laid.conflicts, click_settings_of_drill(laid))
    assert click.strokes and 5 < click.seconds < 30 * 60


@pytest.mark.parametrize("name", EVERY)
def test_it_lies_in_the_range_of_its_instruments(name: str) -> None:
    names = [part.name.casefold() for part in checked(name).drills[0].opened.score.parts]
    for part, sounding in zip(names, pitches(score(name)), strict=True):
        assert bool(sounding) == (part in STRINGS)
        if sounding:
            low, high = STRINGS[part]
            assert low <= min(sounding) and max(sounding) <= high


@pytest.mark.parametrize("name", claiming("in the beat", "in the bar"))
def test_the_ratio_is_really_there(name: str) -> None:
    own, others = mine_and_others(name)
    for feature in claims(name):
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


@pytest.mark.parametrize("name", claiming("hemiola"))
def test_the_hemiola_is_really_there(name: str) -> None:
    own, _ = mine_and_others(name)
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


@pytest.mark.parametrize("name", claiming("interlock", "after-beats"))
def test_the_lines_really_make_one_even_stream(name: str) -> None:
    for bars in list(zip(*parts(name), strict=True))[:-1]:
        struck = [at for bar in bars for at in bar.strikes]
        assert len(struck) == len(set(struck))
        assert {Fraction(k, len(struck)) for k in range(len(struck))} == set(struck)


@pytest.mark.parametrize("name", claiming("after-beats"))
def test_one_has_the_beats_and_the_other_what_comes_after(name: str) -> None:
    own, (other,) = mine_and_others(name)
    for mine, theirs in list(zip(own, other, strict=True))[:-1]:
        count = beats(mine.meter)
        assert theirs.strikes == {Fraction(k, count) for k in range(count)}
        assert not mine.strikes & theirs.strikes


@pytest.mark.parametrize("name", claiming("entries from rests"))
def test_the_part_really_enters_after_a_beat_of_silence(name: str) -> None:
    own, _ = mine_and_others(name)
    entries, silent = 0, Fraction(0)
    for bar in own:
        beat = bar.quarters / beats(bar.meter)
        events = [*((at, None) for at in bar.onsets), *bar.rests]
        for _, rest in sorted(events, key=lambda event: event[0]):
            entries += rest is None and silent >= beat
            silent = Fraction(0) if rest is None else silent + rest
    assert entries >= 2


@pytest.mark.parametrize("name", claiming("additive meter"))
def test_the_meter_is_really_additive(name: str) -> None:
    own, _ = mine_and_others(name)
    groups = {tuple(map(int, meter.split("/")[0].split("+"))) for meter in written(name)}
    assert any(len(set(group)) > 1 for group in groups)
    assert {bar.quarters for bar in own} == {Fraction(sum(group), 2) for group in groups}


def written(name: str) -> list[str]:
    """Meters with a plus, as the teacher wrote them."""
    return re.findall(r"\d+(?:\+\d+)+/8", text(name))


@pytest.mark.parametrize("name", claiming("mixed meter"))
def test_the_meters_really_differ_under_common_barlines(name: str) -> None:
    own, (other,) = mine_and_others(name)
    assert len(own) == len(other)
    assert all(mine.meter != theirs.meter for mine, theirs in zip(own, other, strict=True))


@pytest.mark.parametrize("name", claiming("travelling barlines"))
def test_the_barlines_really_travel(name: str) -> None:
    lines = []
    for part in parts(name):
        at, found = Fraction(0), {Fraction(0)}
        for bar in part:
            at += bar.quarters
            found.add(at)
        lines.append(found)
    assert len({max(found) for found in lines}) == 1
    assert all(lines[0] & other < lines[0] for other in lines[1:])


BEATS = {"6/8": "quarter.", "2/4": "quarter", "3/4": "quarter"}


@pytest.mark.parametrize("name", claiming("beat = beat", "note = note"))
def test_the_mark_at_the_change_says_what_stays(name: str) -> None:
    from lxml import etree

    stays: set[str] = set()
    part = etree.fromstring(score(name)).find("part")
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
    assert stays == {"beat = beat", "note = note"} & set(claims(name))


@pytest.mark.parametrize("name", claiming("silences"))
def test_the_click_really_leaves(name: str) -> None:
    (laid,) = checked(name).drills
    click = planned(laid.passage, laid.conflicts, click_settings_of_drill(laid))
    with_all = planned(laid.passage, laid.conflicts, wish_without_silences(name))
    assert 0 < len(click.strokes) < len(with_all.strokes)


def wish_without_silences(name: str) -> ClickSettings:
    return replace(click_settings_of_drill(checked(name).drills[0]), silences=())


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
