"""Engraved pages, by a general engraving library in a child process."""

import sys
from fractions import Fraction

import pytest
from lxml import etree

from companion.errors import CompanionError
from companion.files.folders import assets_folder, demo_score
from companion.part.engraving.engrave import engrave, engrave_column, print_out
from companion.part.engraving.page_text import Piece, pieces
from tests.part.pages import page
from tests.part.taking import take

FONTS = assets_folder() / "fonts"
SVG = "{http://www.w3.org/2000/svg}"


TEXT_WIDTH = 21000 - 2 * 1000
"""An A4 page less its margins, in hundredths of a millimetre."""


def _pieces(svg: str) -> list[Piece]:
    return [
        piece
        for text in etree.fromstring(svg.encode()).iter(f"{SVG}text")
        for piece in pieces(text)
    ]


def printed(svg: str) -> list[str]:
    """Every piece of text on a page."""
    found = etree.fromstring(svg.encode()).iter(f"{SVG}text")
    return ["".join("".join(map(str, text.itertext())).split()) for text in found]


def test_nothing_is_repeated_without_end() -> None:
    once = page(Flute="4/4 [start] A4w | A4w [back]")
    countless = once.replace(b'direction="backward"', b'direction="backward" times="999999999"')
    assert countless != once
    assert engrave(countless, limit=60)


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


def test_a_part_whose_barlines_travel_is_engraved_alone() -> None:
    """The library takes no measure that is marked as non-controlling."""
    duo = page(Flute="3/4 A4h. | B4h.", Oboe="3/4 C5h. | C5h.")
    marked = duo.replace(b"<measure ", b'<measure non-controlling="yes" ')
    (svg,) = engrave(marked)
    assert svg.count('class="measure"') == 2


def test_the_notes_of_a_column_come_with_their_times() -> None:
    # Bars of 6/8 and 2/4, read from the pattern by hand, in written quarters.
    (svg,), notes = engrave_column(page(Flute="6/8 A4q. B4e re C5e | 2/4 rq A4q"))
    assert [(one.bar, one.begins, one.end_bar, one.ends) for one in notes] == [
        (0, 0, 0, Fraction(3, 2)),
        (0, Fraction(3, 2), 0, 2),
        (0, Fraction(5, 2), 1, 0),
        (1, 1, 1, 2),
    ]
    assert all(f'id="{one.id}"' in svg for one in notes)


def test_a_whole_part_of_the_built_in_quartet_is_engraved() -> None:
    pages = engrave(take(demo_score().read_bytes(), 1).musicxml)
    letters = [text for svg in pages for text in printed(svg) if text in "ABCDEF" and text]
    assert letters == list("ABCDEF")


def test_words_that_would_run_past_the_margin_are_broken_into_lines() -> None:
    bar = "A4q B4q C5q [words broadly, and with the whole bow from here on] D5q"
    pages = engrave(take(page(Flute=f"4/4 {bar}" + f" | {bar}" * 15), 1).musicxml)
    found = [piece for svg in pages for piece in _pieces(svg)]
    assert "".join(text for svg in pages for text in printed(svg)).count("withthewholebow") == 16
    assert any(piece.text.startswith("broadly") and "here" not in piece.text for piece in found)
    assert max(piece.right for piece in found) <= TEXT_WIDTH


def test_a_word_too_long_to_break_ends_at_the_margin() -> None:
    bar = "A4q B4q C5q [words sempreassaisempreassaisempre] D5q"
    pages = engrave(take(page(Flute=f"4/4 {bar}" + f" | {bar}" * 15), 1).musicxml)
    words = [piece for svg in pages for piece in _pieces(svg) if piece.text.startswith("sempre")]
    assert len(words) == 16
    assert TEXT_WIDTH - 2 < max(word.right for word in words) <= TEXT_WIDTH


def test_a_title_is_larger_than_the_words_in_the_music() -> None:
    (svg,) = (page for page in engrave(take(demo_score().read_bytes(), 2).musicxml)[:1])
    sizes = {piece.text: piece.size for piece in _pieces(svg)}
    assert sizes["Four for the Chain Ferry"] > 1.5 * sizes["all in 2/4"]
    assert sizes["Over and back before dark"] > 1.2 * sizes["all in 2/4"]


def test_without_the_library_one_sentence_says_how_to_get_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "verovio", None)
    with pytest.raises(CompanionError, match="pip install verovio"):
        engrave(b"<score-partwise/>")


def test_without_the_printing_library_it_is_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "reportlab", None)
    with pytest.raises(CompanionError, match="pip install reportlab"):
        print_out(b"<score-partwise/>", FONTS)


def test_what_the_library_cannot_read_is_refused() -> None:
    with pytest.raises(CompanionError, match="could not read"):
        engrave(b"<nothing/>")
    with pytest.raises(CompanionError, match="could not read"):
        print_out(b"<nothing/>", FONTS)


def test_a_part_that_takes_too_long_is_given_up() -> None:
    with pytest.raises(CompanionError, match="took over"):
        engrave(take(demo_score().read_bytes(), 1).musicxml, limit=0.001)
    with pytest.raises(CompanionError, match="took over"):
        print_out(take(demo_score().read_bytes(), 1).musicxml, FONTS, limit=0.001)
