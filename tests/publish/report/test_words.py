"""Words out of somebody else's file."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.publish.report.report_page import cell, safe_text


def test_letters_that_move_a_terminal_are_none_of_a_name() -> None:
    assert safe_text("Ada\x1b[2J\x07\nB.") == "Ada [2J B."


def test_letters_that_turn_the_direction_are_none_of_a_name() -> None:
    assert safe_text("Ada \u202egnp.exe") == "Ada gnp.exe"


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "  =1"])
def test_no_cell_is_a_formula(text: str) -> None:
    """What begins so is reckoned by a spreadsheet (OWASP, CSV injection; from memory)."""
    assert cell(text)[0] == "'"


@pytest.mark.parametrize("text", ["a;=1+1", "a; +1", "=1;=2", "a;b;@c"])
def test_nothing_is_a_formula_where_semicolons_part_the_cells(text: str) -> None:
    for piece in cell(text).split(";"):
        assert not piece.strip().startswith(("=", "+", "-", "@"))


@given(st.text())
def test_one_line_of_printable_letters_comes_out(text: str) -> None:
    line = safe_text(text)
    assert len(line) <= 200
    assert line.isprintable()
    assert not cell(text).startswith(("=", "+", "-", "@", "\t", "\r"))
