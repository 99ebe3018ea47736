"""The zip container of a part.

MusicXML 4.0, "Compressed .mxl files" (W3C Music Notation Community Group, 2021): the first
file is `mimetype`, stored uncompressed; META-INF/container.xml names the score.
"""

from io import BytesIO
from zipfile import ZIP_STORED, ZipFile

from lxml import etree

from companion.part.extraction import container_of
from companion.score.readers.compressed_musicxml import score_in
from tests.part.pages import page
from tests.part.taking import take

PART = take(page(Flute="4/4 A4w", Horn="4/4 C4w"), 2).musicxml


def test_the_container_begins_with_its_media_type_uncompressed() -> None:
    packed = container_of(PART, "horn.musicxml")
    with ZipFile(BytesIO(packed)) as archive:
        first = archive.infolist()[0]
        assert first.filename == "mimetype" and first.compress_type == ZIP_STORED
        assert archive.read(first) == b"application/vnd.recordare.musicxml"
    assert packed[30:38] == b"mimetype"  # a zip's local file name lies 30 bytes in
    assert packed[38:72] == b"application/vnd.recordare.musicxml"


def test_the_container_names_the_score() -> None:
    with ZipFile(BytesIO(container_of(PART, "horn.musicxml"))) as archive:
        listed = etree.fromstring(archive.read("META-INF/container.xml"))
        named = [root.get("full-path") for root in listed.iterfind("rootfiles/rootfile")]
        assert named == ["horn.musicxml"]
        assert archive.read("horn.musicxml") == PART


def test_a_file_name_with_signs_of_its_own_does_not_break_the_container() -> None:
    packed = container_of(PART, 'Horn "in F" & <co>.musicxml')
    assert score_in(packed) == PART


def test_the_same_part_makes_the_same_file_on_any_day() -> None:
    assert container_of(PART, "horn.musicxml") == container_of(PART, "horn.musicxml")
