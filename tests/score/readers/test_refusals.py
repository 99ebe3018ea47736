"""Everything that is no score is refused in one sentence."""

from __future__ import annotations

import os
import zlib
from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest

from companion.score.reader_error import ReaderError
from companion.score.readers import score_source
from companion.score.readers.compressed_musicxml import score_in
from companion.score.readers.musicxml.reading import read_musicxml

MEASURE = "<measure number='1'>{}</measure>"
SCORE = (
    "<score-partwise><part-list><score-part id='P1'><part-name>Viola</part-name></score-part>"
    "</part-list><part id='P1'>{}</part></score-partwise>"
)
WHOLE = SCORE.format(MEASURE.format(""))


def refusal(tmp_path: Path, data: bytes, name: str = "duo.musicxml") -> str:
    """The sentence for a file with these contents."""
    file = tmp_path / name
    file.write_bytes(data)
    with pytest.raises(ReaderError) as caught:
        read_musicxml(score_source.read(file).musicxml, file.stem)
    assert caught.value.exit_status == 1
    return str(caught.value)


# --- files ---------------------------------------------------------------------------


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(ReaderError, match="duo.xml: there is no such file. Check its name"):
        score_source.read(tmp_path / "duo.xml")


def test_a_folder(tmp_path: Path) -> None:
    with pytest.raises(ReaderError, match="it is a folder. Name the score inside it."):
        score_source.read(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_pipe_that_would_never_end(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(ReaderError, match="pipe: it is a pipe"):
        score_source.read(tmp_path / "pipe")


def test_a_name_no_system_allows() -> None:
    with pytest.raises(ReaderError, match="cannot be opened"):
        score_source.read(Path("a\0b"))


def test_a_file_too_large_to_be_a_score(tmp_path: Path) -> None:
    file = tmp_path / "duo.xml"
    with file.open("wb") as stream:
        stream.truncate(100_000_001)  # takes no room on the disk
    with pytest.raises(ReaderError, match="it is larger than 100 megabytes"):
        score_source.read(file)


@pytest.mark.parametrize("data", [b"", b"  \n"])
def test_an_empty_file(tmp_path: Path, data: bytes) -> None:
    assert refusal(tmp_path, data) == "duo.musicxml: it is empty. Export the score again."


@pytest.mark.parametrize(
    "data", [b"once upon a time", b"\x89PNG\r\n", b"%PDF-1.7", b"\0" * 100, b"\x80\x04\x95."]
)
def test_something_else(tmp_path: Path, data: bytes) -> None:
    assert "it is not a score in any known format" in refusal(tmp_path, data)


# --- XML -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"<opus><score/></opus>", "it is an opus, a list of scores, and no score itself"),
        (b"<html><body/></html>", "it is a web page, not a score"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "it is XML of another kind (“svg”)"),
        (b"<?xml version='1.0'?>", "the file breaks off before the score"),
        (b"<", "the file breaks off before the score"),
        (b"<score-partwise", "the file breaks off before the score"),
        (WHOLE[:-30].encode(), "the file breaks off before the score ends"),
        (WHOLE.replace("</part>", "</trap>").encode(), "the XML is broken"),
        (WHOLE.encode() + b"<more/>", "the XML is broken"),
        (
            WHOLE.replace("Viola", "Fl\xf6te").encode("latin-1"),
            "the file holds letters its stated encoding does not know",
        ),
        (
            b"<?xml version='1.0' encoding='none-such'?>" + WHOLE.encode(),
            "the file holds letters its stated encoding does not know",
        ),
        (WHOLE.encode("utf-16")[: 2 * len(WHOLE) - 40], "the file breaks off before"),
        (
            b"<score-partwise>" + b"<a>" * 5000 + b"</a>" * 5000 + b"</score-partwise>",
            "the XML is nested too deeply to be a score",
        ),
        (b"<score-partwise/>", "the score holds no bar of music"),
        (SCORE.format("").encode(), "the score holds no bar of music"),
    ],
)
def test_xml_that_is_no_score(tmp_path: Path, data: bytes, sentence: str) -> None:
    assert sentence in refusal(tmp_path, data)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize(
    "subset",
    [
        "<!ENTITY a 'b'>",
        "<!ENTITY a SYSTEM 'file:///etc/hostname'>",
        "<!ENTITY a SYSTEM 'http://192.0.2.1/'>",
        "<!ENTITY a 'ha'><!ENTITY b '&a;&a;'>" + "<!ENTITY c '&b;&b;&b;&b;&b;&b;&b;&b;'>",
        "<!ENTITY % p SYSTEM 'file:///etc/hostname'>",
    ],
)
def test_entities_are_never_expanded(tmp_path: Path, subset: str, encoding: str) -> None:
    body = WHOLE.replace("Viola", "&a;") if "ENTITY a" in subset else WHOLE
    text = f"<?xml version='1.0' encoding='{encoding}'?><!DOCTYPE score-partwise [{subset}]>{body}"
    data = text.encode(encoding)
    assert "the file declares entities, which no score needs" in refusal(tmp_path, data)
    with pytest.raises(ReaderError, match="declares entities"):
        read_musicxml(data, "duo")


def test_a_file_of_nothing_but_tags() -> None:
    with pytest.raises(ReaderError, match="more than 8,000,000 tags"):
        read_musicxml(b"<score-partwise>" + b"<a/>" * 8_000_000, "duo")


def test_a_laughing_billion_is_refused_at_once(tmp_path: Path) -> None:
    laughs = "<!ENTITY l0 'ha'>" + "".join(
        f"<!ENTITY l{n} '{f'&l{n - 1};' * 10}'>" for n in range(1, 30)
    )
    body = WHOLE.replace("id='P1'", "id='&l29;'")
    assert "declares entities" in refusal(
        tmp_path, f"<!DOCTYPE score-partwise [{laughs}]>{body}".encode()
    )


def test_an_undeclared_entity_is_no_crash(tmp_path: Path) -> None:
    text = WHOLE.replace("Viola", "&x;")
    assert "the XML is broken" in refusal(tmp_path, text.encode())
    elsewhere = f"<!DOCTYPE score-partwise SYSTEM 'partwise.dtd'>{text}"
    assert "refers to an entity it does not define" in refusal(tmp_path, elsewhere.encode())


# --- containers ------------------------------------------------------------------------


def zipped(name: str, data: bytes) -> bytes:
    target = BytesIO()
    with ZipFile(target, "w", ZIP_DEFLATED) as archive:
        archive.writestr(name, data)
    return target.getvalue()


def test_containers_without_a_score(tmp_path: Path) -> None:
    for data in (zipped("a.txt", b"hello"), b"PK\x05\x06" + b"\0" * 18):
        assert "the container holds no score" in refusal(tmp_path, data, "duo.mxl")
    assert "it is an opus" in refusal(tmp_path, zipped("a.xml", b"<opus/>"), "duo.mxl")
    assert "another kind" in refusal(tmp_path, zipped("a.xml", b"<svg/>"), "duo.mxl")


def test_damaged_containers(tmp_path: Path) -> None:
    whole = zipped("score.xml", WHOLE.encode() * 1)
    broken = bytearray(whole)
    broken[60] ^= 0xFF
    for data in (whole[:60], whole[:-10], bytes(broken), b"PK\x03\x04"):
        assert "the container is damaged" in refusal(tmp_path, data, "duo.mxl")


def test_an_encrypted_container(tmp_path: Path) -> None:
    data = bytearray(zipped("score.xml", WHOLE.encode()))
    data[6] |= 1  # general purpose bit 0 of the local header: encrypted
    data[data.index(b"PK\x01\x02") + 8] |= 1  # and of the central one
    assert "encrypted" in refusal(tmp_path, bytes(data), "duo.mxl")


def test_a_container_that_says_it_is_huge() -> None:
    data = bytearray(zipped("score.xml", WHOLE.encode()))
    place = data.index(b"PK\x01\x02") + 24  # uncompressed size in the central directory
    data[place : place + 4] = (0xFFFFFFF0).to_bytes(4, "little")
    with pytest.raises(ReaderError, match="it unpacks to more than 100 megabytes"):
        score_in(bytes(data))


def test_a_container_that_is_huge_whatever_it_says() -> None:
    with pytest.raises(ReaderError, match="it unpacks to more than 1 megabytes"):
        score_in(zipped("score.xml", b"<score-partwise>" + b" " * 2_000_000), most=1_000_000)


def test_a_container_that_is_all_repetition() -> None:
    """It would be read, at a cost of gigabytes: a small file must not ask for so much."""
    with pytest.raises(ReaderError, match=r"unpacks to \d+ times its size"):
        score_in(zipped("score.xml", b"<score-partwise>" + b"<note/>" * 3_000_000))


def test_a_container_that_lies_about_its_size_unpacks_no_further() -> None:
    data = bytearray(zipped("score.xml", b"<score-partwise>" + b" " * 2_000_000))
    place = data.index(b"PK\x01\x02") + 24
    data[place : place + 4] = (1000).to_bytes(4, "little")
    with pytest.raises(ReaderError, match="the container is damaged"):
        score_in(bytes(data), most=1_000_000)


def test_a_container_packed_in_an_unknown_way() -> None:
    data = bytearray(zipped("score.xml", zlib.compress(WHOLE.encode())))
    data[8] = 99
    data[data.index(b"PK\x01\x02") + 10] = 99
    with pytest.raises(ReaderError, match="packed in an unknown way"):
        score_in(bytes(data))


# --- music that makes no sense -----------------------------------------------------------


def test_a_bar_of_absurd_length_names_its_place() -> None:
    rest = "<note><rest/><duration>999999</duration></note>"
    text = SCORE.format(MEASURE.format("") + f"<measure number='7'>{rest}</measure>")
    with pytest.raises(ReaderError) as caught:
        read_musicxml(text.encode(), "duo")
    assert str(caught.value) == (
        "Viola, measure 7: it lasts over 10,000 quarters. "
        "Mend it in the program that wrote the file."
    )


def test_divisions_with_nothing_in_common_are_refused() -> None:
    primes = (9973, 9967, 9949)
    bars = "".join(
        f"<measure number='1'><attributes><divisions>{n}</divisions></attributes></measure>"
        for n in primes
    )
    with pytest.raises(ReaderError, match="cut the quarter so differently that over 10,000,000"):
        read_musicxml(SCORE.format(bars).encode(), "duo")


def test_more_parts_than_any_score() -> None:
    parts = "".join(f"<part id='{n}'><measure number='1'/></part>" for n in range(501))
    with pytest.raises(ReaderError, match="more than 500 parts"):
        read_musicxml(f"<score-partwise>{parts}</score-partwise>".encode(), "duo")
    measures = "".join(f"<measure number='1'><part id='{n}'/></measure>" for n in range(501))
    with pytest.raises(ReaderError, match="more than 500 parts"):
        read_musicxml(f"<score-timewise>{measures}</score-timewise>".encode(), "duo")


def test_more_bars_than_any_score() -> None:
    parts = "".join(f"<part id='{n}'/>" for n in range(400))
    measures = f"<measure number='1'>{parts}</measure>" + "<measure number='1'/>" * 2500
    with pytest.raises(ReaderError, match="more than 1,000,000 bars in all"):
        read_musicxml(f"<score-timewise>{measures}</score-timewise>".encode(), "duo")


def test_faults_without_end_are_told_in_part() -> None:
    rests = "".join(f"<note><rest/><duration>x{n}</duration></note>" for n in range(300))
    score = read_musicxml(SCORE.format(MEASURE.format(rests)).encode(), "duo")
    assert len(score.slips) == 201
    assert score.slips[1] == (0, "the file has more faults than are listed here (101 times)")
