"""Whatever comes through the door is judged by what it holds."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile

import pytest

from companion.score.readers import score_source
from companion.score.readers.musicxml.reading import read_musicxml

SCORE = """<score-partwise version="4.0"><part-list>
  <score-part id="P1"><part-name>Viola</part-name></score-part></part-list>
  <part id="P1"><measure number="1"/></part></score-partwise>"""
DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 1.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)
CONTAINER = """<?xml version="1.0" encoding="UTF-8"?>
<container><rootfiles><rootfile full-path="{}"/><rootfile full-path="score.pdf"/></rootfiles>
</container>"""
MIMETYPE = "application/vnd.recordare.musicxml"


def zipped(*entries: tuple[str, str | bytes]) -> bytes:
    target = BytesIO()
    with ZipFile(target, "w") as archive:
        for name, text in entries:
            kind = ZIP_STORED if name == "mimetype" else ZIP_DEFLATED
            archive.writestr(name, text, kind)
    return target.getvalue()


@pytest.mark.parametrize("name", ["score.musicxml", "score.xml", "score.txt", "score", "s.mxl"])
@pytest.mark.parametrize(
    "data",
    [
        SCORE.encode(),
        f'<?xml version="1.0"?>{DOCTYPE}<!-- by hand -->{SCORE}'.encode(),
        f'<?xml version="1.0" encoding="UTF-16"?>{SCORE}'.encode("utf-16"),
        f'<?xml version="1.0" encoding="UTF-8"?>{SCORE}'.encode("utf-8-sig"),
        SCORE.replace("score-partwise", "score-timewise").encode(),
    ],
)
def test_plain_text_is_known_whatever_its_name(tmp_path: Path, name: str, data: bytes) -> None:
    file = tmp_path / name
    file.write_bytes(data)
    assert score_source.read(file) == score_source.ScoreSource(data, "MusicXML")


@pytest.mark.parametrize(
    "data",
    [
        # MusicXML 4.0, "Compressed .mxl files": mimetype first, container, first rootfile
        zipped(
            ("mimetype", MIMETYPE),
            ("META-INF/container.xml", CONTAINER.format("music/score.musicxml")),
            ("a.xml", "<score-partwise/>"),
            ("music/score.musicxml", SCORE),
        ),
        # before version 3.1 without a mimetype
        zipped(
            ("META-INF/container.xml", CONTAINER.format("score.xml")),
            ("score.xml", SCORE),
        ),
        # zipped by hand, among other things
        zipped(
            ("__MACOSX/._score.xml", b"\0\5\26\7"),
            ("notes.xml", "<notes/>"),
            ("score.xml", SCORE),
        ),
        # a container that names what is not there
        zipped(
            ("META-INF/container.xml", CONTAINER.format("gone.xml")),
            ("score.musicxml", SCORE),
        ),
        zipped(("META-INF/container.xml", "<broken"), ("score.musicxml", SCORE)),
    ],
)
def test_a_container_opens_to_its_score(tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "duo.mxl"
    file.write_bytes(data)
    assert score_source.read(file) == score_source.ScoreSource(
        SCORE.encode(), "compressed MusicXML"
    )


def test_what_comes_through_the_door_can_be_read(tmp_path: Path) -> None:
    file = tmp_path / "duo.mxl"
    file.write_bytes(zipped(("score.xml", SCORE)))
    score = read_musicxml(score_source.read(file).musicxml, file.stem)
    assert (score.title, len(score.parts[0].bars)) == ("duo", 1)


def test_reading_leaves_the_folder_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "duo.mxl"
    file.write_bytes(zipped(("score.xml", SCORE)))
    before = file.stat()
    score_source.read(file)
    assert list(tmp_path.iterdir()) == [file]
    assert file.stat().st_mtime_ns == before.st_mtime_ns
