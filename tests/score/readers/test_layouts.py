"""Partwise and timewise, every version's header, titles, and part lists as they come."""

from __future__ import annotations

import pytest

from companion.score.readers.musicxml.reading import read_musicxml

NOTE = "<note><pitch><step>{}</step><octave>4</octave></pitch><duration>1</duration></note>"
LIST = """<part-list>
  <score-part id="P1"><part-name>Violin</part-name><part-abbreviation>Vn.</part-abbreviation>
    <midi-instrument id="I1"><midi-program>41</midi-program></midi-instrument></score-part>
  <score-part id="P2"><part-name>Violoncello</part-name></score-part>
</part-list>"""
PARTWISE = f"""<score-partwise>{LIST}
  <part id="P1"><measure number="1">{NOTE.format("A")}</measure>
    <measure number="2">{NOTE.format("B")}</measure></part>
  <part id="P2"><measure number="1">{NOTE.format("C")}</measure>
    <measure number="2">{NOTE.format("D")}</measure></part></score-partwise>"""
TIMEWISE = f"""<score-timewise>{LIST}
  <measure number="1"><part id="P1">{NOTE.format("A")}</part>
    <part id="P2">{NOTE.format("C")}</part></measure>
  <measure number="2"><part id="P1">{NOTE.format("B")}</part>
    <part id="P2">{NOTE.format("D")}</part></measure></score-timewise>"""


def test_timewise_and_partwise_say_the_same() -> None:
    timewise = read_musicxml(TIMEWISE.encode(), "duo")
    assert timewise == read_musicxml(PARTWISE.encode(), "duo")
    assert [[n.pitch for bar in part.bars for n in bar.notes] for part in timewise.parts] == [
        ["A4", "B4"],
        ["C4", "D4"],
    ]


def test_a_timewise_bar_that_leaves_a_part_out_is_empty_there() -> None:
    gap = TIMEWISE.replace(f'<part id="P2">{NOTE.format("C")}</part>', "")
    score = read_musicxml(gap.encode(), "duo")
    assert [len(bar.notes) for bar in score.parts[1].bars] == [0, 1]
    assert (1, "Violoncello: the part is left out of some bars; they were taken as empty") in (
        score.slips
    )


@pytest.mark.parametrize("version", ["1.0", "1.1", "2.0", "3.0", "3.1", "4.0"])
@pytest.mark.parametrize("kind", ["partwise", "timewise"])
def test_every_version_is_read_whatever_its_document_type(version: str, kind: str) -> None:
    body = (PARTWISE if kind == "partwise" else TIMEWISE).replace(
        f"<score-{kind}>", f'<score-{kind} version="{version}">'
    )
    header = (
        '<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
        f'<!DOCTYPE score-{kind} PUBLIC "-//Recordare//DTD MusicXML {version} '
        f'{kind.title()}//EN" "http://www.musicxml.org/dtds/{kind}.dtd">\n'
    )
    assert len(read_musicxml((header + body).encode(), "duo").parts) == 2


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "iso-8859-1", "us-ascii"])
def test_encodings_in_use_are_read(encoding: str) -> None:
    title = "Elegie" if encoding == "us-ascii" else "Élégie"
    text = PARTWISE.replace("<part-list>", f"<movement-title>{title}</movement-title><part-list>")
    declared = "utf-8" if encoding == "utf-8-sig" else encoding
    data = f'<?xml version="1.0" encoding="{declared}"?>{text}'.encode(encoding)
    assert read_musicxml(data, "duo").title == title


def test_blank_lines_before_the_score_are_forgiven() -> None:
    data = b'\n\n<?xml version="1.0"?>' + PARTWISE.encode()
    assert len(read_musicxml(data, "duo").parts) == 2


# --- titles ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("header", "title"),
    [
        ("<work><work-title>Duo</work-title></work>", "Duo"),
        ("<movement-title>Adagio</movement-title>", "Adagio"),
        (
            "<work><work-title>Duo</work-title></work><movement-title>Adagio</movement-title>",
            "Duo",
        ),
        (
            """<credit page="2"><credit-words font-size="30">2</credit-words></credit>
            <credit page="1"><credit-type>title</credit-type>
            <credit-words>Two </credit-words><credit-words>Songs</credit-words></credit>""",
            "Two Songs",
        ),
        (
            """<credit><credit-words font-size="10">for two</credit-words></credit>
            <credit><credit-words font-size="24">Duo</credit-words></credit>""",
            "Duo",
        ),
        ("<movement-title>\x85Two\n lines\x9b31m </movement-title>", "Two lines 31m"),
        ("", "duo"),
    ],
)
def test_the_title_is_found_wherever_it_stands(header: str, title: str) -> None:
    text = PARTWISE.replace("<part-list>", f"{header}<part-list>", 1)
    assert read_musicxml(text.encode(), "duo").title == title


@pytest.mark.parametrize(
    ("header", "composer"),
    [
        (
            """<identification><creator type="lyricist">A. B.</creator>
            <creator type="composer">C. D.</creator></identification>""",
            "C. D.",
        ),
        (
            """<credit><credit-type>composer</credit-type>
            <credit-words>C. D.</credit-words></credit>""",
            "C. D.",
        ),
        ("", ""),
    ],
)
def test_the_composer_is_found_or_left_open(header: str, composer: str) -> None:
    text = PARTWISE.replace("<part-list>", f"{header}<part-list>", 1)
    assert read_musicxml(text.encode(), "duo").composer == composer


# --- part lists ----------------------------------------------------------------------


def test_parts_have_names_short_names_and_programs() -> None:
    violin, cello = read_musicxml(PARTWISE.encode(), "duo").parts
    assert (violin.id, violin.name, violin.abbreviation, violin.program) == (
        *("P1", "Violin", "Vn."),
        41,
    )
    assert (cello.name, cello.abbreviation, cello.program) == ("Violoncello", "", 0)


@pytest.mark.parametrize(
    ("entry", "name"),
    [
        ("<part-name/>", "P1"),
        (
            """<part-name/><part-name-display><display-text>Horn in E</display-text>
            <accidental-text>flat</accidental-text></part-name-display>""",
            "Horn in E♭",
        ),
        (
            """<part-name> </part-name><score-instrument id="I">
            <instrument-name>Oboe</instrument-name></score-instrument>""",
            "Oboe",
        ),
    ],
)
def test_a_part_without_a_name_gets_the_next_best(entry: str, name: str) -> None:
    text = PARTWISE.replace("<part-name>Violin</part-name>", entry)
    assert read_musicxml(text.encode(), "duo").parts[0].name == name


def test_a_part_that_is_not_listed_is_named_by_its_id() -> None:
    text = PARTWISE.replace(LIST, "<part-list/>")
    score = read_musicxml(text.encode(), "duo")
    assert [part.name for part in score.parts] == ["P1", "P2"]
    assert (0, "part “P1” is not in the part-list") in score.slips


def test_a_listed_part_without_music_is_left_out_and_told() -> None:
    more = '<score-part id="P3"><part-name>Flute</part-name></score-part></part-list>'
    score = read_musicxml(PARTWISE.replace("</part-list>", more).encode(), "duo")
    assert len(score.parts) == 2
    assert score.slips[0] == (0, "part “P3” is listed but has no music and was left out")


def test_an_empty_part_stays_empty_and_is_told() -> None:
    more = '<part id="P3"/></score-partwise>'
    score = read_musicxml(PARTWISE.replace("</score-partwise>", more).encode(), "duo")
    assert score.parts[2].bars == ()
    assert (0, "P3: the part is empty") in score.slips


def test_two_parts_of_one_id_both_stay() -> None:
    score = read_musicxml(PARTWISE.replace('<part id="P2">', '<part id="P1">').encode(), "duo")
    assert [part.id for part in score.parts] == ["P1", "P1-2"]
    assert len({part.id for part in score.parts}) == 2
    assert (0, "part “P1” stands twice in the file") in score.slips


def test_parts_stand_in_the_order_of_the_list() -> None:
    listed_last = PARTWISE.replace('<part id="P1">', '<part id="X">')
    listed_last = listed_last.replace('<part id="P2">', '<part id="P1">')
    listed_last = listed_last.replace('<part id="X">', '<part id="P2">')
    score = read_musicxml(listed_last.encode(), "duo")
    assert [part.id for part in score.parts] == ["P1", "P2"]
    assert score.parts[0].bars[0].notes[0].pitch == "C4"
