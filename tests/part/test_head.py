"""What stands at the top of a part, and what of the full score does not."""

from lxml import etree

from tests.part.pages import page, timewise
from tests.part.schema import faults
from tests.part.taking import take

HEAD = """
<work><work-number>3</work-number><work-title>A study</work-title></work>
<movement-title>Second piece</movement-title>
<identification>
  <creator type="composer">Nobody</creator>
  <encoding><software>a program</software>
    <supports element="print" attribute="new-page" type="yes" value="yes"/>
    <supports element="accidental" type="yes"/>
  </encoding>
</identification>
<defaults>
  <scaling><millimeters>7</millimeters><tenths>40</tenths></scaling>
  <page-layout><page-height>1700</page-height><page-width>1200</page-width>
    <page-margins type="both"><left-margin>80</left-margin><right-margin>80</right-margin>
    <top-margin>90</top-margin><bottom-margin>90</bottom-margin></page-margins></page-layout>
  <system-layout><system-distance>200</system-distance></system-layout>
  <staff-layout><staff-distance>90</staff-distance></staff-layout>
</defaults>
<credit page="1"><credit-type>title</credit-type><credit-words>A study</credit-words></credit>
<credit page="1"><credit-words>Full Score</credit-words></credit>
<credit page="1"><credit-words>Flute</credit-words></credit>
<credit page="2"><credit-words>A study</credit-words></credit>
<credit page="1"><credit-type>page number</credit-type><credit-words>1</credit-words></credit>
"""
DUO = page(head=HEAD, Flute="4/4 A4w | A4w", Horn="4/4 C4w | D4w")


def test_only_the_players_own_part_is_listed() -> None:
    root = take(DUO, 2).root
    assert [entry.get("id") for entry in root.iterfind("part-list/*")] == ["P2"]
    assert [part.get("id") for part in root.iterfind("part")] == ["P2"]
    assert root.findtext("part-list/score-part/part-name") == "Horn"


def test_titles_people_and_the_program_that_wrote_the_source_are_kept() -> None:
    root = take(DUO, 2).root
    assert root.findtext("work/work-title") == "A study"
    assert root.findtext("movement-title") == "Second piece"
    assert root.findtext("identification/creator") == "Nobody"
    assert root.findtext("identification/encoding/software") == "a program"
    assert root.get("version") == "3.1"


def test_the_first_page_shows_the_title_and_the_parts_own_name() -> None:
    shown = [words.text for words in take(DUO, 2).root.iterfind("credit/credit-words")]
    assert shown == ["A study", "Horn"]


def test_the_name_stands_in_the_top_left_corner_inside_the_margins() -> None:
    name = take(DUO, 2).root.findall("credit/credit-words")[-1]
    assert (name.get("default-x"), name.get("default-y")) == ("80", "1610")


def test_distances_between_staves_go_and_the_size_of_the_page_stays() -> None:
    defaults = take(DUO, 2).root.find("defaults")
    assert defaults is not None
    assert [child.tag for child in defaults] == ["scaling", "page-layout"]


def test_a_promise_that_breaks_are_all_there_is_taken_back() -> None:
    kept = take(DUO, 2).root.findall("identification/encoding/supports")
    assert [promise.get("element") for promise in kept] == ["accidental"]


def test_breaks_and_distances_go_and_bar_numbers_come_back() -> None:
    printed = (
        b'<print new-page="yes" page-number="2"><system-layout><system-distance>9'
        b"</system-distance></system-layout><measure-numbering>none</measure-numbering></print>"
    )
    source = DUO.replace(b'<measure number="1">', b'<measure number="1" width="300">' + printed)
    first = take(source, 2).measures[0]
    assert first.get("width") is None
    layout = first.find("print")
    assert layout is not None and not list(layout.attrib)
    assert [(child.tag, child.text) for child in layout] == [("measure-numbering", "system")]


def test_a_source_laid_out_by_measures_gives_the_same_part() -> None:
    by_parts, by_measures = take(DUO, 2), take(timewise(DUO), 2)
    assert by_measures.root.tag == "score-partwise"
    plain = etree.XMLParser(remove_blank_text=True)
    one, other = (
        etree.tostring(etree.fromstring(taken.musicxml, plain), method="c14n")
        for taken in (by_parts, by_measures)
    )
    assert one == other


def test_the_page_follows_the_schema() -> None:
    assert faults(DUO, "3.1") == []
    assert faults(take(DUO, 2).musicxml, "3.1") == []


def test_the_document_says_that_it_is_utf8_and_asks_for_no_document_type() -> None:
    text = take(page(Flöte="4/4 A4w", Horn="4/4 C4w"), 1).musicxml
    assert text.startswith(b"<?xml version='1.0' encoding='UTF-8'?>\n<score-partwise")
    assert "Flöte" in text.decode("utf-8")
