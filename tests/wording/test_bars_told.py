"""Bars in words."""

import pytest

from companion.wording.phrases import bars_told


@pytest.mark.parametrize(
    ("first", "last", "printed", "told"),
    [
        (14, 21, "14–21", "bars 14–21"),
        (14, 21, "13–20", "bars 14–21 (printed 13–20)"),
        (14, 14, "13", "bar 14 (printed 13)"),
        (10, 12, "II:2–4", "bars 10–12 (printed II:2–4)"),
        (20, 22, "(5)–(7)", "bars 20–22 (printed 5–7, again)"),
        (3, 4, "", "bars 3–4"),
    ],
)
def test_what_is_typed_comes_first_and_what_is_printed_beside_it(
    first: int, last: int, printed: str, told: str
) -> None:
    assert bars_told(first, last, printed) == told
