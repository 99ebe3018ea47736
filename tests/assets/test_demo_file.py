"""The demo quartet's file is the script's own product, obeys the schema and can be read by others.

A score edited by hand would drift from its notes in code; a score only we can read would prove
nothing about reading scores.
"""

from __future__ import annotations

import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from lxml import etree

ROOT = Path(__file__).parents[2]
SCORE = ROOT / "assets" / "demo" / "chain_ferry.musicxml"

XS = "{http://www.w3.org/2001/XMLSchema}"

# What the schema imports from two web addresses, so that no test has to reach the network.
IMPORTED = {
    "xml.xsd": """
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
    targetNamespace="http://www.w3.org/XML/1998/namespace">
  <xs:attribute name="lang" type="xs:language"/>
  <xs:attribute name="space" type="xs:NCName"/>
</xs:schema>""",
    "xlink.xsd": """
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
    targetNamespace="http://www.w3.org/1999/xlink">
  <xs:attribute name="href" type="xs:anyURI"/>
  <xs:attribute name="type" type="xs:NMTOKEN"/>
  <xs:attribute name="role" type="xs:token"/>
  <xs:attribute name="title" type="xs:token"/>
  <xs:attribute name="show" type="xs:NMTOKEN"/>
  <xs:attribute name="actuate" type="xs:NMTOKEN"/>
</xs:schema>""",
}


def published_schema(folder: Path) -> etree.XMLSchema:
    """MusicXML 3.1 with its two imports beside it.

    Source: W3C Music Notation Community Group, as shipped in partitura (music21's copy is 2.0).
    Neither ships 4.0, whose published version history lists additions to 3.1; the demo uses
    none of them.
    """
    package = find_spec("partitura")
    assert package is not None and package.submodule_search_locations
    schema = etree.parse(str(Path(package.submodule_search_locations[0], "assets/musicxml.xsd")))
    for link in schema.getroot().findall(f"{XS}import"):
        name = link.get("schemaLocation", "").rsplit("/", 1)[-1]
        local = folder / name
        local.write_text(IMPORTED[name], encoding="utf-8")
        link.set("schemaLocation", local.as_uri())
    return etree.XMLSchema(schema)


def test_the_file_is_exactly_what_the_script_writes(tmp_path: Path) -> None:
    again = tmp_path / "again.musicxml"
    command = [sys.executable, "-B", "-m", "assets.demo.compose", str(again)]
    subprocess.run(command, cwd=ROOT, check=True, timeout=60)
    assert again.read_bytes() == SCORE.read_bytes()


def test_the_file_obeys_the_published_schema(tmp_path: Path) -> None:
    schema = published_schema(tmp_path)
    score = etree.parse(str(SCORE))
    schema.assertValid(score)
    assert score.getroot().get("version") == "4.0"


def test_the_schema_check_would_notice_a_misplaced_element(tmp_path: Path) -> None:
    schema = published_schema(tmp_path)
    score = etree.parse(str(SCORE))
    note = score.find(".//note[pitch]")
    assert note is not None
    note.append(note[0])
    assert not schema.validate(score)


def test_a_reference_reader_finds_the_same_bars_meters_and_notes() -> None:
    # Source: music21, an independent reader of MusicXML.
    from music21 import converter

    root = etree.parse(str(SCORE)).getroot()
    read = converter.parse(SCORE, forceSource=True)
    ours = root.findall("part")
    assert len(read.parts) == len(ours) == 4
    for written, part in zip(ours, read.parts, strict=True):
        measures = list(part.getElementsByClass("Measure"))
        meters = [m.timeSignature.ratioString for m in measures if m.timeSignature]
        assert len(measures) == len(written.findall("measure"))
        assert meters == [
            f"{time.findtext('beats')}/{time.findtext('beat-type')}"
            for time in written.iter("time")
        ]
        assert len(part.flatten().notes) == len(written.findall("measure/note/pitch"))
