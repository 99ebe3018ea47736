"""A teacher's words on a page."""

from hypothesis import given
from hypothesis import strategies as st

from companion.publish.handout.handout_page import instructions_html
from tests.publish.handout.reading import read


def test_paragraphs_lists_and_emphasis() -> None:
    # As CommonMark 0.31 reads them (from memory).
    assert instructions_html("Clap **first**,\nthen *bow*.\n\n- one\n- two\n  more\n\n1. a", 2) == (
        "<p>Clap <strong>first</strong>, then <em>bow</em>.</p>\n"
        "<ul><li>one</li><li>two more</li></ul>\n<ol><li>a</li></ol>"
    )


def test_headings_fit_into_the_page() -> None:
    assert instructions_html("# Bow\nlow", 3) == "<h3>Bow</h3>\n<p>low</p>"


@given(st.text(alphabet=" ab*_<>&\"'#-1.\n\\[]()`", max_size=60))
def test_whatever_is_typed_opens_no_element_of_its_own(text: str) -> None:
    allowed = {"p", "ul", "ol", "li", "strong", "em", "h2"}
    assert {tag for tag, _ in read(instructions_html(text, 2)).elements} <= allowed
