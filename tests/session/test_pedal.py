"""Presses of one pedal, counted."""

import pytest

from companion.session.pedal import HELD, Presses

QUARTER, LONG, REST = 0.25, 1.5, 1.0


def said(*presses: tuple[float, float]) -> list[int]:
    """What is told of presses of (seconds down, seconds up after it), asked every 50 ms."""
    pedal, told, now = Presses(), [], 0.0

    def wait(seconds: float) -> None:
        nonlocal now
        for _ in range(round(seconds / 0.05)):
            now += 0.05
            if (one := pedal.told(now)) is not None:
                told.append(one)

    for down, up in presses:
        pedal.came(now, is_down=True)
        wait(down)
        pedal.came(now, is_down=False)
        wait(up)
    return told


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_presses_are_counted_until_the_foot_rests(count: int) -> None:
    assert said(*[(QUARTER, QUARTER)] * (count - 1), (QUARTER, REST)) == [count]


def test_a_long_press_is_held_and_told_once() -> None:
    assert said((LONG, REST)) == [HELD]


def test_two_counts_with_a_rest_between_them_are_two() -> None:
    assert said((QUARTER, REST), (QUARTER, QUARTER), (QUARTER, REST)) == [1, 2]


def test_a_long_press_that_nobody_asked_about_meanwhile_is_held_too() -> None:
    pedal = Presses()
    pedal.came(0.0, is_down=True)
    pedal.came(LONG, is_down=False)
    assert pedal.told(LONG) == HELD
    assert pedal.told(LONG + REST) is None


def test_a_half_way_pedal_that_says_down_again_is_down_once() -> None:
    pedal = Presses()
    for moment in (0.0, 0.1, 0.2):
        pedal.came(moment, is_down=True)
    pedal.came(0.3, is_down=False)
    pedal.came(0.35, is_down=False)
    assert pedal.told(0.5) is None
    assert pedal.told(1.0) == 1
