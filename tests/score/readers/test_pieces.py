"""A score read in pieces is the score read in one, or fails in the same words."""

from __future__ import annotations

import pytest

from companion.errors import CompanionError
from companion.score.readers import score_source
from companion.score.readers.musicxml.document import Document, cut_text
from companion.score.readers.musicxml.reading import read_document
from tests.part.taking import CORPUS

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
LIST = (
    "<part-list><score-part id='P1'><part-name>One</part-name></score-part>"
    "<score-part id='P2'><part-name>Two</part-name></score-part></part-list>"
)


def part(id_: str, divisions: int = 2, inside: str = "", quote: str = '"') -> str:
    return (
        f"<part id={quote}{id_}{quote}>{inside}<measure number='1'><attributes>"
        f"<divisions>{divisions}</divisions><time><beats>2</beats><beat-type>4</beat-type></time>"
        f"</attributes><note><pitch><step>C</step><octave>4</octave></pitch>"
        f"<duration>{2 * divisions}</duration></note></measure></part>"
    )


def score(*parts: str, head: str = HEAD, root: str = "", tail: str = "") -> str:
    return f"{head}<score-partwise{root}>{LIST}{''.join(parts)}</score-partwise>{tail}"


BOTH = score(part("P1"), part("P2", 3))
WHOLE = {
    "a comment around a part": score("<!--" + part("P1") + "-->", part("P2")),
    "a comment that opens a part": score("<!-- <part id='P1'> -->", part("P1"), part("P2")),
    "a part in a text": score(part("P1", inside="<![CDATA[<part id='P2'>]]>"), part("P2")),
    "a part without an id": score(part("P1"), part("P2").replace(' id="P2"', "")),
    "a spaced tag": score(part("P1"), part("P2").replace("<part ", "<part\n")),
    "a prefix of the root": score(
        part("P1", inside="<x:y/>"), part("P2"), root=" xmlns:x='urn:nothing'"
    ),
    "another namespace": score(part("P1"), part("P2"), root=" xmlns='urn:nothing'"),
    "an entity": score(
        part("P1", inside="&e;"), head="<!DOCTYPE score-partwise [<!ENTITY e 'x'>]>"
    ),
    "an unknown entity": score(part("P1"), part("P2", inside="&e;")),
    "a broken part": score(part("P1"), part("P2").replace("</note>", "")),
    "broken off": score(part("P1"), part("P2"))[:-60],
    "something after the end": score(part("P1"), part("P2"), tail="<more/>"),
    "no part": score(),
    "spaced divisions": score(part("P1"), part("P2", 7).replace("divisions>", "divisions >")),
}
CUT = {
    "two parts": BOTH,
    "single quotes": score(part("P1", quote="'"), part("P2", quote="'")),
    "parts in another order": score(part("P2"), part("P1")),
    "one id twice": score(part("P1"), part("P1")),
    "a comment between": score(part("P1"), "<!-- and -->", part("P2"), tail="\n"),
    "no declaration": score(part("P1"), part("P2"), head=""),
    "uneven divisions": score(part("P1", 5), part("P2", 7)),
}


def told(data: bytes, *, in_one: bool) -> object:
    try:
        return read_document(Document(data, in_one=in_one), "x")
    except CompanionError as problem:
        return problem.sentence()


@pytest.mark.parametrize("text", (WHOLE | CUT).values(), ids=(WHOLE | CUT).keys())
def test_pieces_make_the_whole(text: str) -> None:
    assert told(text.encode(), in_one=False) == told(text.encode(), in_one=True)


@pytest.mark.parametrize("text", CUT.values(), ids=CUT.keys())
def test_what_is_plain_is_cut(text: str) -> None:
    pieces = cut_text(text.encode())
    assert pieces is not None
    assert len(pieces.parts) == 2


@pytest.mark.parametrize("letters", ["utf-16", "utf-16-le", "utf-8-sig", "latin-1", "ascii"])
def test_letters_of_every_kind_are_read_alike(letters: str) -> None:
    name = "ISO-8859-1" if letters == "latin-1" else letters.partition("-sig")[0]
    text = BOTH.replace("UTF-8", "UTF-16" if "16" in name else name)
    if letters != "ascii":
        text = text.replace("One", "Bögen")
    data = text.encode(letters)
    if letters == "utf-16-le":
        data = b"\xff\xfe" + data
    assert told(data, in_one=False) == told(data, in_one=True)
    assert (cut_text(data) is None) == (letters in ("latin-1", "ascii"))


def test_a_quartet_of_wide_letters_is_cut_and_read_alike() -> None:
    """beethoven/opus132.mxl of music21's corpus is written in UTF-16."""
    data = score_source.read(CORPUS / "beethoven/opus132.mxl").musicxml
    assert cut_text(data) is not None
    assert told(data, in_one=False) == told(data, in_one=True)
