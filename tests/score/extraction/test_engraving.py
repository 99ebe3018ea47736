"""Engraved pages, by a general engraving library in a child process."""

import sys

import pytest
from lxml import etree

from companion.desk.demo import demo_score
from companion.errors import CompanionError
from companion.score.extraction.engraving import engrave
from tests.score.extraction.pages import page
from tests.score.extraction.taking import take

SVG = "{http://www.w3.org/2000/svg}"


def printed(svg: str) -> list[str]:
    """Every piece of text on a page."""
    found = etree.fromstring(svg.encode()).iter(f"{SVG}text")
    return ["".join("".join(map(str, text.itertext())).split()) for text in found]


def test_a_page_shows_what_stands_over_a_multi_bar_rest() -> None:
    """The library leaves it out when it reads such a rest by itself."""
    duo = page(
        Flute="4/4 A4w | [reh B] [words Allegro] A4w | A4w | A4w | A4w",
        Oboe="4/4 C5w | R | R | R | C5w",
    )
    taken = take(duo, 2)
    assert taken.long_rests() == {2: 2}
    (svg,) = engrave(taken.musicxml)
    assert {"B", "Allegro", "Flu."} <= set(printed(svg))
    assert svg.count('class="multiRest"') == 1


def test_a_repeat_after_a_multi_bar_rest_stays() -> None:
    """Its dots are the glyph U+E044 of the Standard Music Font Layout (repeatDot)."""
    duo = page(Flute="4/4 A4w | A4w | A4w | A4w", Oboe="4/4 R | R [back] | R | R")
    (svg,) = engrave(take(duo, 2).musicxml)
    assert svg.count('class="multiRest"') == 2
    assert "#E044" in svg


def test_a_whole_part_of_the_built_in_quartet_is_engraved() -> None:
    pages = engrave(take(demo_score().read_bytes(), 1).musicxml)
    letters = [text for svg in pages for text in printed(svg) if text in "ABCDEF" and text]
    assert letters == list("ABCDEF")


def test_without_the_library_one_sentence_says_how_to_get_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "verovio", None)
    with pytest.raises(CompanionError, match="pip install 'companion\\[verovio\\]'"):
        engrave(b"<score-partwise/>")


def test_what_the_library_cannot_read_is_refused() -> None:
    with pytest.raises(CompanionError, match="could not read"):
        engrave(b"<nothing/>")


def test_a_part_that_takes_too_long_is_given_up() -> None:
    with pytest.raises(CompanionError, match="took over"):
        engrave(take(demo_score().read_bytes(), 1).musicxml, limit=0.001)
