"""A part as one PDF: nothing the engraver has set is missing on the paper.

The PDF is drawn and read by Poppler's tools, which know nothing of how it was made.
"""

import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from lxml import etree
from lxml.etree import _Element
from numpy.typing import NDArray

from companion.files.folders import assets_folder, demo_score
from companion.part.engraving.engrave import Paper, engrave, print_out
from companion.part.engraving.page_text import pieces
from companion.part.engraving.pdf_pages import NotDrawn, printed
from tests.part.pages import page
from tests.part.taking import corpus, take

FONTS = assets_folder() / "fonts"
CELLO = "beethoven/opus59no2/movement1.mxl"
DOTS = 200
"""Per inch."""
UNIT = DOTS / 25.4 / 100
"""Dots in a unit of the engraved page, a hundredth of a millimetre."""

Place = tuple[str, float, float, float, float]
"""What stands there, and its left, right, top and bottom."""

poppler = pytest.mark.skipif(
    shutil.which("pdftoppm") is None, reason="needs pdftoppm and pdftotext of poppler-utils"
)


def drawn(pdf: bytes) -> list[NDArray[np.bool_]]:
    """Each page as dots, true where there is ink."""
    command = ["pdftoppm", "-gray", "-r", str(DOTS), "-"]
    out = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout
    pages = []
    while out:
        _, width, height, _ = out.split(maxsplit=4)[:4]
        head = len(b"P5\n%s %s\n255\n" % (width, height))
        size = int(width) * int(height)
        dots = np.frombuffer(out[head : head + size], np.uint8)
        pages.append(dots.reshape(int(height), int(width)) < 160)
        out = out[head + size :]
    return pages


def read(pdf: bytes) -> list[str]:
    """Each line of text in it."""
    command = ["pdftotext", "-layout", "-", "-"]
    out = subprocess.run(command, input=pdf, capture_output=True, check=True).stdout.decode()
    return [" ".join(line.split()) for line in out.splitlines() if line.strip()]


def has_ink(dots: NDArray[np.bool_], left: float, right: float, top: float, bottom: float) -> bool:
    """Whether anything is drawn in a box, in units of the page's frame, 10 mm from its edge."""
    rows = slice(int((top + 1000) * UNIT), int((bottom + 1000) * UNIT) + 1)
    columns = slice(int((left + 1000) * UNIT), int((right + 1000) * UNIT) + 1)
    return bool(dots[rows, columns].any())


def shown(root: _Element, kind: str) -> Iterator[_Element]:
    """The elements of a kind that are not in something the style sheet hides."""
    for element in root.iter(f"{{*}}{kind}"):
        groups = [group.get("class") or "" for group in element.iterancestors()]
        if not any("placeholder" in group for group in groups):
            yield element


def missing(svg: str, dots: NDArray[np.bool_]) -> list[str]:
    """The words, signs and straight lines of a page that left no ink where they stand."""
    root = etree.fromstring(svg.encode())
    places = [*words(root), *signs(root), *lines(root)]
    assert places
    return [what for what, *box in places if not has_ink(dots, *box)]


def words(root: _Element) -> Iterator[Place]:
    for text in shown(root, "text"):
        for piece in pieces(text):
            if piece.text.strip():
                yield piece.text, piece.x, piece.right, piece.y - 0.7 * piece.size, piece.y


def signs(root: _Element) -> Iterator[Place]:
    for use in shown(root, "use"):
        x, y = map(float, re.findall(r"-?\d+", use.get("transform", ""))[:2])
        yield str(use.attrib), x - 40, x + 400, y - 400, y + 400


def lines(root: _Element) -> Iterator[Place]:
    """Of staves, stems, bars and brackets, in their middle."""
    for path in shown(root, "path"):
        if line := re.fullmatch(r"M(\S+) (\S+) L(\S+) (\S+)", path.get("d", "")):
            x, y, to_x, to_y = (float(number) for number in line.groups())
            middle, height = (x + to_x) / 2, (y + to_y) / 2
            yield path.get("d", ""), middle - 13, middle + 13, height - 13, height + 13


@poppler
@pytest.mark.parametrize("part", [1, 2, 3, 4])
def test_all_that_is_engraved_of_the_built_in_quartet_is_on_paper(part: int) -> None:
    musicxml = take(demo_score().read_bytes(), part).musicxml
    svgs, papers = engrave(musicxml), drawn(print_out(musicxml, FONTS))
    assert [missing(svg, dots) for svg, dots in zip(svgs, papers, strict=True)] == [[]] * len(svgs)


@poppler
def test_all_that_is_engraved_of_a_real_cello_part_with_cues_is_on_paper() -> None:
    taken = take(corpus(CELLO), 4)
    svgs, papers = engrave(taken.musicxml), drawn(print_out(taken.musicxml, FONTS))
    assert taken.added["cues"] == 3
    assert [missing(svg, dots) for svg, dots in zip(svgs, papers, strict=True)] == [[]] * 4


@poppler
def test_titles_tempos_and_words_can_be_read_and_searched() -> None:
    text = read(print_out(take(demo_score().read_bytes(), 3).musicxml, FONTS))
    assert any("Four for the Chain Ferry" in line for line in text)
    assert any("others in 6/8, note = note" in line for line in text)
    assert any(re.search(r"= 69\b", line) for line in text)
    assert {"A", "B", "C", "D", "E", "F"} <= {word for line in text for word in line.split()}


@poppler
def test_the_note_of_a_metronome_mark_is_drawn_before_its_number() -> None:
    musicxml = take(page(Flute="4/4 [metro q. 60] A4w"), 1).musicxml
    (svg,), (dots,) = engrave(musicxml), drawn(print_out(musicxml, FONTS))
    found = [
        piece for text in shown(etree.fromstring(svg.encode()), "text") for piece in pieces(text)
    ]
    (note,) = (piece for piece in found if piece.is_music)
    (number,) = (piece for piece in found if piece.text.endswith("60"))
    assert note.right <= number.x
    head = (note.x, note.x + note.size * 0.3, note.y - note.size * 0.13, note.y)
    assert has_ink(dots, *head)


@poppler
def test_marks_the_engraver_hides_stay_hidden() -> None:
    """It puts a dot where a section begins and hides it by its style sheet."""
    musicxml = take(demo_score().read_bytes(), 3).musicxml
    svg, dots = engrave(musicxml)[0], drawn(print_out(musicxml, FONTS))[0]
    root = etree.fromstring(svg.encode())
    hidden = set(root.iter("{*}ellipse")) - set(shown(root, "ellipse"))
    assert hidden
    for dot in hidden:
        x, y = float(dot.get("cx", 0)), float(dot.get("cy", 0))
        assert not has_ink(dots, x - 60, x + 60, y - 60, y + 60)


@pytest.mark.parametrize(
    ("paper", "size"), [(Paper.A4, "595.2756 841.8898"), (Paper.LETTER, "612 792")]
)
def test_each_engraved_page_is_one_sheet_of_paper(paper: Paper, size: str) -> None:
    """A4 is 210 by 297 mm (ISO 216), letter 8.5 by 11 inches; an inch has 72 points."""
    musicxml = take(demo_score().read_bytes(), 3).musicxml
    pdf = print_out(musicxml, FONTS, paper)
    boxes = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+ [\d.]+) \]", pdf)
    assert boxes == [size.encode()] * len(engrave(musicxml, paper))


def test_every_font_is_in_the_file() -> None:
    """A PDF names a font's outlines it brings along FontFile2 (ISO 32000-1, table 122)."""
    pdf = print_out(take(demo_score().read_bytes(), 3).musicxml, FONTS)
    fonts = re.findall(rb"/BaseFont /(\S+)", pdf)
    assert fonts and all(b"LiberationSerif" in font for font in fonts)
    assert pdf.count(b"/FontFile2") == len(fonts)


def test_a_page_with_something_unknown_is_refused_rather_than_printed_without_it() -> None:
    svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><image/></svg>'
    with pytest.raises(NotDrawn, match="image"):
        printed([svg], FONTS, (2100, 2970), "")


def test_the_fonts_come_with_their_licence() -> None:
    assert "SIL OPEN FONT LICENSE Version 1.1" in (FONTS / "OFL.txt").read_text()
    assert len(list(Path(FONTS).glob("*.ttf"))) == 4
