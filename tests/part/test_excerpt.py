"""A few bars cut out of a part, held against what a general score library reads there."""

from pathlib import Path

import pytest
from lxml import etree
from music21 import chord, converter, note, stream

from companion.files.folders import demo_score
from companion.part.extraction import excerpt
from companion.score.laying import lay
from companion.score.readers.musicxml.reading import read_musicxml
from companion.score.readers.opening import musicxml_of, read_score
from tests.part.pages import page
from tests.part.taking import CORPUS


def heard(part: stream.Part) -> list[tuple[str, float]]:
    """Pitches and lengths in order."""
    return [
        (
            " ".join(p.nameWithOctave for p in one.pitches)
            if isinstance(one, note.Note | chord.Chord)
            else "rest",
            float(one.quarterLength),
        )
        for one in part.recurse().notesAndRests
    ]


@pytest.mark.parametrize(
    ("path", "part", "first", "last"),
    [
        (demo_score(), 2, 14, 21),
        (demo_score(), 3, 30, 35),
        (CORPUS / "haydn/opus74no1/movement3.mxl", 3, 40, 47),
        (CORPUS / "beethoven/opus18no1/movement1.mxl", 1, 100, 109),
    ],
)
def test_the_bars_sound_as_they_do_in_the_score(
    path: Path, part: int, first: int, last: int
) -> None:
    opened = read_score(path)
    cut = excerpt(musicxml_of(path), lay(opened.score), [part], first, last)
    # Held, because a measure knows what stands before it only while its score is there.
    score = converter.parse(path)
    whole = list(score.parts[part].getElementsByClass(stream.Measure))
    mine = converter.parse(cut.decode(), format="musicxml").parts[0]
    expected = [one for bar in whole[first - 1 : last] for one in heard(bar)]
    assert heard(mine) == expected
    bar = mine.getElementsByClass(stream.Measure)[0]
    there = whole[first - 1]
    clef, key, meter = (
        getattr(there, name) or there.getContextByClass(kind)
        for name, kind in (
            ("clef", "Clef"),
            ("keySignature", "KeySignature"),
            ("timeSignature", "TimeSignature"),
        )
    )
    assert type(bar.clef) is type(clef)
    assert bar.keySignature.sharps == key.sharps
    assert bar.timeSignature.ratioString == meter.ratioString


def test_what_was_said_before_is_carried_in_once() -> None:
    source = page(Flute="[key -2] 6/8 A4q. A4q. | [clef F 4] A3q. A3q. | 2/4 A3q A3q | A3h | A3h")
    cut = excerpt(source, lay(read_musicxml(source, "page")), [0], 4, 5)
    root = etree.fromstring(cut)
    assert [measure.get("number") for measure in root.iter("measure")] == ["4", "5"]
    (opening,) = root.iterfind(".//measure/attributes")
    assert [child.tag for child in opening] == ["divisions", "key", "time", "clef"]
    assert opening.findtext("key/fifths") == "-2"
    assert opening.findtext("time/beats") == "2"
    assert opening.findtext("clef/sign") == "F"


def test_rests_stay_bar_by_bar_and_titles_go() -> None:
    source = page(
        head="<work><work-title>Air</work-title></work>",
        Flute="2/4 A4h | R | R | R | A4h",
        Horn="2/4 C4h | C4h | C4h | C4h | C4h",
    )
    root = etree.fromstring(excerpt(source, lay(read_musicxml(source, "page")), [0], 2, 4))
    assert len(list(root.iter("measure"))) == 3
    assert not list(root.iter("multiple-rest", "work-title"))


def test_where_barlines_travel_apart_the_parts_own_bars_are_cut() -> None:
    source = page(
        Flute="3/4 A4h. | B4h. | C5h. | D5h.", Horn="2/4 C4h | D4h | E4h | F4h | G4h | A4h"
    )
    clock = lay(read_musicxml(source, "page"))
    root = etree.fromstring(excerpt(source, clock, [1], 2, 2))
    steps = [step.text for step in root.iter("step")]
    start, end = clock.bars[1].start, clock.bars[1].end
    places = clock.places[1]
    sounding = [
        name
        for name, place in zip("CDEFGA", places, strict=True)
        if place.start < end and place.end > start
    ]
    assert steps == sounding


def test_two_parts_stand_one_above_the_other() -> None:
    source = page(Flute="2/4 A4h | B4h | C5h", Oboe="2/4 C4h | D4h | E4h", Horn="2/4 R | R | R")
    clock = lay(read_musicxml(source, "page"))
    root = etree.fromstring(excerpt(source, clock, [0, 1], 2, 3))
    assert [one.findtext("part-name") for one in root.iter("score-part")] == ["Flute", "Oboe"]
    assert [[step.text for step in part.iter("step")] for part in root.iterchildren("part")] == [
        ["B", "C"],
        ["D", "E"],
    ]
    # A general library reads them as one score of two parts.
    score = converter.parseData(etree.tostring(root), format="musicxml")
    assert [len(part.getElementsByClass(stream.Measure)) for part in score.parts] == [2, 2]
