"""The published MusicXML schemas, as two libraries carry them, ready to judge a document."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

from lxml import etree

_XML = """
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
    targetNamespace="http://www.w3.org/XML/1998/namespace">
  <xs:attribute name="lang" type="xs:language"/>
  <xs:attribute name="space" type="xs:NCName"/>
</xs:schema>"""
_XLINK = """
<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
    targetNamespace="http://www.w3.org/1999/xlink">
  <xs:attribute name="href" type="xs:anyURI"/>
  <xs:attribute name="type" type="xs:token" fixed="simple"/>
  <xs:attribute name="role" type="xs:token"/>
  <xs:attribute name="title" type="xs:token"/>
  <xs:attribute name="show" type="xs:token"/>
  <xs:attribute name="actuate" type="xs:token"/>
</xs:schema>"""
"""The two schemas that musicxml.xsd imports, cut down to the attributes it uses."""

_CARRIERS = {"2.0": ("music21", "musicxml"), "3.1": ("partitura", "assets")}


class _Beside(etree.Resolver):
    """Answers the schema's imports without a network."""

    def resolve(self, system_url: str, public_id: str, context: object = None) -> object:
        for name, text in (("/xml.xsd", _XML), ("/xlink.xsd", _XLINK)):
            if system_url.endswith(name):
                return self.resolve_string(text, context, base_url=system_url)
        return None


@cache
def schema(version: str) -> etree.XMLSchema:
    """MusicXML 2.0 as music21 carries it, or 3.1 as partitura does."""
    package, folder = _CARRIERS[version]
    found = find_spec(package)
    assert found is not None and found.origin is not None
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Beside())
    return etree.XMLSchema(
        etree.parse(str(Path(found.origin).parent / folder / "musicxml.xsd"), parser)
    )


def is_valid(musicxml: bytes, version: str) -> bool:
    """Whether a document follows the schema."""
    return schema(version).validate(etree.fromstring(musicxml))


def faults(musicxml: bytes, version: str) -> list[str]:
    """What the schema has against a document."""
    judge = schema(version)
    return [] if judge.validate(etree.fromstring(musicxml)) else [str(judge.error_log)]
