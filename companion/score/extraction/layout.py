"""Taking the full score's layout off a part.

Breaks, page numbers, and distances between staves and systems describe a page that no
longer exists. Bar numbering and names printed on the way stay. What a full score hides
in its lower staves because the top one shows it (endings, numbers) is shown again.
"""

from __future__ import annotations

from lxml.etree import _Element

_BREAKS = ("new-page", "new-system", "blank-page", "page-number", "staff-spacing", "id")
_DISTANCES = ("page-layout", "system-layout", "staff-layout", "measure-layout")


def strip_layout(measures: list[_Element]) -> None:
    """Remove what belongs to the score's page; show what its lower staves hide."""
    for measure in measures:
        measure.attrib.pop("width", "")
        for printed in measure.findall("print"):
            _strip(printed)
        for ending in measure.iterfind("barline/ending"):
            ending.attrib.pop("print-object", "")


def _strip(printed: _Element) -> None:
    for name in _BREAKS:
        printed.attrib.pop(name, "")
    for child in list(printed):
        if child.tag in _DISTANCES:
            printed.remove(child)
        elif child.tag == "measure-numbering" and (child.text or "").strip() == "none":
            child.text = "system"
    if len(printed) == 0:
        parent = printed.getparent()
        if parent is not None:
            parent.remove(printed)
