"""Bars in words."""

import pytest

from companion.wording.phrases import bars_told


@pytest.mark.parametrize(
    ("first", "last", "printed", "told"),
    [
        (14, 21, "13–20", "bars 13–20"),
        (14, 14, "13", "bar 13"),
        (10, 12, "II:2–4", "bars II:2–4"),
        (20, 22, "@20–@22", "bars @20–@22"),
        (20, 22, "(20)–(22)", "bars @20–@22"),
        (3, 4, "", "bars @3–@4"),
        (3, 3, "", "bar @3"),
    ],
)
def test_bars_are_told_as_printed_else_by_their_places(
    first: int, last: int, printed: str, told: str
) -> None:
    assert bars_told(first, last, printed) == told
