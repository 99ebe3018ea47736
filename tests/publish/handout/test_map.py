"""The map of conflicts as a picture."""

import re
from pathlib import Path

import pytest

from companion.exercise.pattern.pattern import read_pattern
from companion.exercise.pattern.pattern_score import write_musicxml
from companion.files.folders import Folders
from companion.publish.handout.conflict_map import A_LINE, MOST_LINES, conflict_map
from companion.publish.handout.lesson import lesson_of
from companion.session.open_score import OpenScore, open_for_practice
from tests.part.pages import page


def duo(tmp_path: Path, bars: int) -> OpenScore:
    flute = "6/8 " + " | ".join(["A4e A4e A4e A4e A4e A4e"] * bars)
    horn = "2/4 " + " | ".join(["C4e C4e C4e C4e"] * bars)
    score = tmp_path / "duo.musicxml"
    score.write_bytes(page(Flute=flute, Horn=horn))
    return open_for_practice(score, Folders(tmp_path / "data", tmp_path / "cache"))


def test_ratio_words_and_meters_are_written_in_it(tmp_path: Path) -> None:
    drawn = conflict_map(duo(tmp_path, 4))
    said = re.findall(r"<text[^>]*>([^<]*)</text>", drawn.svg)
    assert {"Flute", "Horn", "6/8", "2/4", "3 against 2"} <= set(said)
    assert drawn.sentences == (
        "Bars 1–4: 3 against 2 in the beat, as written: Flute in 3 · Horn in 2.",
    )


def test_a_single_bar_has_the_ratio_in_short(tmp_path: Path) -> None:
    assert ">3:2<" in conflict_map(duo(tmp_path, 1)).svg


def test_sides_differ_by_hatching_not_by_colour(tmp_path: Path) -> None:
    svg = conflict_map(duo(tmp_path, 2)).svg
    assert svg.count("url(#more)") == svg.count("url(#fewer)") == 2
    assert set(re.findall(r'(?:fill|stroke)="([^"u]*)"', svg)) <= {
        *("none", "#fff", "#1a1a1a", "#767676")
    }


@pytest.mark.parametrize("first", [1, 150, 299])
def test_of_a_long_score_the_surroundings_of_the_passage_are_shown(
    tmp_path: Path, first: int
) -> None:
    open_score = duo(tmp_path, 300)
    drawn = conflict_map(open_score, lesson_of(open_score, 0, (first, first + 1)))
    begin, end = map(int, re.findall(r"\d+", drawn.shown))
    assert end - begin + 1 == A_LINE * MOST_LINES
    assert begin <= first and first + 1 <= end
    assert not drawn.is_whole
    assert 'stroke-width="3"' in drawn.svg


def test_barlines_that_travel_are_drawn_where_each_part_has_them(tmp_path: Path) -> None:
    """Three bars of four beside four of three: they meet at the ends alone (common practice)."""
    score = tmp_path / "x.musicxml"
    lines = "Violin: 4/4 D4w | D4w | D4w\nCello: 3/4 D3h. | D3h. | D3h. | D3h."
    score.write_bytes(write_musicxml(read_pattern(lines), "x"))
    svg = conflict_map(open_for_practice(score, Folders(tmp_path, tmp_path))).svg
    drawn: dict[str, list[float]] = {}
    for x, y in re.findall(r'd="M([\d.]+) (\d+)v18"', svg):
        drawn.setdefault(y, []).append(float(x))
    upper, lower = drawn.values()
    assert len(upper) == 3 and len(lower) == 4
    wide = upper[1] - upper[0]
    assert [(x - upper[0]) / wide for x in lower] == pytest.approx([0, 0.75, 1.5, 2.25], abs=0.01)
