"""Damaged files raise our own error or are read; nothing else ever happens.

The default run tries a few hundred damages; COMPANION_FUZZ=20000 tries that many.
"""

from __future__ import annotations

import os
import re
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.msgpack import decode, encode

from companion.rhythm.meter import parse
from companion.score.model import PartBar, Score
from companion.score.reader_error import ReaderError
from companion.score.readers import score_source
from companion.score.readers.musicxml.reading import read_musicxml

ROUNDS = int(os.environ.get("COMPANION_FUZZ", "400")) // 2
TRYING = settings(
    max_examples=ROUNDS,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)

SEED = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "partwise.dtd">
<score-partwise version="4.0"><work><work-title>Trio</work-title></work>
<identification><creator type="composer">C. D.</creator></identification>
<credit page="1"><credit-type>title</credit-type><credit-words font-size="20">T</credit-words>
</credit><part-list><part-group type="start" number="1"/>
<score-part id="P1"><part-name>Clarinet</part-name><midi-instrument id="I"><midi-program>72
</midi-program></midi-instrument></score-part>
<score-part id="P2"><part-name>Piano</part-name></score-part></part-list>
<part id="P1"><measure number="0" implicit="yes" non-controlling="yes"><attributes>
<divisions>256</divisions><key number="1"><fifths>-3</fifths></key><time symbol="common">
<beats>3+2</beats><beat-type>8</beat-type><interchangeable><beats>5</beats>
<beat-type>8</beat-type></interchangeable></time><staves>1</staves><clef><sign>G</sign>
<line>2</line><clef-octave-change>-1</clef-octave-change></clef><transpose><diatonic>-1
</diatonic><chromatic>-2</chromatic><octave-change>0</octave-change></transpose>
<measure-style><multiple-rest>2</multiple-rest></measure-style></attributes>
<direction placement="above"><direction-type><words>Allegro, pizz.</words></direction-type>
<direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>c. 72-76
</per-minute></metronome></direction-type><offset sound="yes">-64</offset><staff>1</staff>
<sound tempo="108" pizzicato="yes"/></direction>
<note><pitch><step>F</step><alter>0.5</alter><octave>4</octave></pitch><duration>85</duration>
<tie type="start"/><voice>1</voice><type>eighth</type><dot/><time-modification><actual-notes>3
</actual-notes><normal-notes>2</normal-notes></time-modification><notations><tied type="start"/>
<tuplet type="start"/><articulations><staccato/></articulations><fermata/></notations></note>
<note><chord/><pitch><step>A</step><octave>4</octave></pitch><duration>85</duration></note>
<note><grace/><pitch><step>B</step><octave>4</octave></pitch><type>16th</type></note>
<note><rest measure="yes"/><duration>768</duration></note>
<barline location="left"><repeat direction="forward"/><ending number="1, 2" type="start"/>
</barline><barline location="right"><ending number="1" type="stop"/>
<repeat direction="backward" times="3" after-jump="yes"/></barline></measure>
<measure number="1" text="1a"><attributes><time><senza-misura/></time></attributes>
<note><cue/><unpitched/><duration>256</duration></note></measure></part>
<part id="P2"><measure number="0"><attributes><divisions>4</divisions><time><beats>2</beats>
<beat-type>4</beat-type><beats>3</beats><beat-type>8</beat-type></time><staves>2</staves>
</attributes><note><pitch><step>C</step><octave>3</octave></pitch><duration>4</duration>
<voice>5</voice><staff>2</staff></note><backup><duration>4</duration></backup><forward>
<duration>2</duration></forward><note><rest/><duration>2</duration></note>
<direction><direction-type><wedge type="crescendo"/><segno/></direction-type>
<sound dacapo="yes" forward-repeat="yes"/></direction>
<direction><direction-type><metronome><beat-unit>half</beat-unit><beat-unit-tied><beat-unit>
eighth</beat-unit></beat-unit-tied><beat-unit>quarter</beat-unit></metronome></direction-type>
</direction></measure><measure number="1"/></part></score-partwise>
"""

TOKENS = re.findall(r"<[^>]*>|[^<]+", SEED)
ODD = st.sampled_from(
    [
        *("", "0", "-1", "-99999", "1.5", "1e9", "99999999999999999999", "0.0000000001", "nan"),
        *("x", "٣", "½", "\x85", "7", "13", "256.75", "3+", "/", "&x;", "1" * 5000),
    ]
)
PIECES = st.sampled_from(sorted(set(TOKENS)))
MOVES = st.tuples(
    st.sampled_from(["drop", "double", "swap", "odd", "attribute", "insert", "cut"]),
    st.integers(0, len(TOKENS) - 1),
    st.integers(0, len(TOKENS) - 1),
    ODD,
    PIECES,
)


def damaged(moves: list[tuple[str, int, int, str, str]]) -> str:
    """The seed with some of its pieces lost, doubled, exchanged or replaced by nonsense."""
    tokens = list(TOKENS)
    for kind, first, second, odd, piece in moves:
        first, second = first % len(tokens), second % len(tokens)
        if kind == "swap":
            tokens[first], tokens[second] = tokens[second], tokens[first]
        elif kind == "attribute":
            tokens[first] = re.sub(r'="[^"]*"', f'="{odd}"', tokens[first], count=1)
        elif kind == "odd" and not tokens[first].startswith("<"):
            tokens[first] = odd
        else:
            few = {"drop": [], "double": [tokens[first]] * 2, "insert": [piece, tokens[first]]}
            tokens[first : first + 1] = few.get(kind, [tokens[first]])
            if kind == "cut" and len(moves) == 1:
                del tokens[first:]
        tokens = tokens or [""]
    return "".join(tokens)


def well_formed(moves: list[tuple[str, int, int, str, str]]) -> str:
    """The seed with only its texts and attributes replaced, so that it stays XML."""
    return damaged(
        [
            (kind if kind == "attribute" else "odd", first, second, odd, piece)
            for kind, first, second, odd, piece in moves
        ]
    )


def makes_sense(score: Score) -> None:
    """What every other room may rely on, however bad the file was."""
    longest = 10_000 * score.ticks
    assert score.title
    assert 1 <= score.ticks <= 10_000_000
    for part in score.parts:
        assert part.name
        for bar in part.bars:
            assert bar.label
            assert bar.meter is None or parse(bar.meter).length > 0
            assert 0 <= bar.filled <= longest
            onsets = [note.onset for note in bar.notes]
            assert onsets == sorted(onsets)
            assert all(0 <= note.onset <= longest and 0 <= note.length for note in bar.notes)
            kept = encode(bar, enc_hook=str)
            assert decode(kept, type=PartBar, dec_hook=lambda kind, text: kind(text)) == bar
            assert all(0 <= mark.onset <= longest for mark in bar.marks)
            assert all(0 <= tempo.onset <= longest and tempo.beat > 0 for tempo in bar.tempos)


def read_or_refuse(data: bytes) -> None:
    try:
        score = read_musicxml(data, "fuzz")
    except ReaderError as error:
        assert str(error).endswith(".")
        assert "\n" not in str(error)
    else:
        makes_sense(score)


def test_the_seed_itself_is_read() -> None:
    score = read_musicxml(SEED.encode(), "fuzz")
    assert [len(part.bars) for part in score.parts] == [2, 2]
    makes_sense(score)


@TRYING
@given(st.lists(MOVES, min_size=1, max_size=6), st.booleans())
def test_damaged_music_is_read_or_refused(
    moves: list[tuple[str, int, int, str, str]], keep_form: bool
) -> None:
    text = well_formed(moves) if keep_form else damaged(moves)
    read_or_refuse(text.encode("utf-8", "surrogatepass"))


@TRYING
@given(
    st.lists(st.tuples(st.integers(0, 100_000), st.integers(0, 255)), min_size=1, max_size=8),
    st.integers(0, 100_000),
    st.booleans(),
)
def test_damaged_bytes_are_read_or_refused(
    tmp_path: Path, flips: list[tuple[int, int]], cut: int, in_container: bool
) -> None:
    target = BytesIO()
    with ZipFile(target, "w", ZIP_DEFLATED) as archive:
        archive.writestr("score.xml", SEED)
    data = bytearray(target.getvalue() if in_container else SEED.encode())
    for place, value in flips:
        data[place % len(data)] = value
    if cut % 4 == 0:
        del data[cut % len(data) :]
    file = tmp_path / "fuzz"
    file.write_bytes(bytes(data))
    try:
        source = score_source.read(file)
    except ReaderError as error:
        assert str(error).startswith("fuzz")
    else:
        read_or_refuse(source.musicxml)
