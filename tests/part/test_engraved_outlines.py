"""Path data against what its standard says: W3C, SVG 1.1, chapter 8.3."""

import pytest

from companion.part.engraving.pdf_pages import PathStroke, path_strokes


def test_relative_and_absolute_data_draw_the_same_triangle() -> None:
    """Example triangle01 of 8.3.2."""
    triangle = [
        PathStroke("M", ((100, 100),)),
        PathStroke("L", ((300, 100),)),
        PathStroke("L", ((200, 300),)),
        PathStroke("Z"),
    ]
    assert list(path_strokes("M 100 100 L 300 100 L 200 300 z")) == triangle
    assert list(path_strokes("m100 100 200 0l-100 200z")) == triangle
    assert list(path_strokes("M100,100H300L200-1V300H200z"))[:2] == triangle[:2]


def test_a_smooth_curve_mirrors_the_curve_before() -> None:
    """Example cubic01 of 8.3.6: the control point 250,100 mirrored at 250,200 is 250,300."""
    curves = list(path_strokes("M100,200 C100,100 250,100 250,200 S400,300 400,200"))
    assert curves[2] == PathStroke("C", ((250, 300), (400, 300), (400, 200)))


def test_a_smooth_curve_after_a_line_starts_straight() -> None:
    """8.3.6: without a curve before, the first control point is the current point."""
    assert list(path_strokes("M0 0 L10 10 s5 5 9 0"))[2].points[0] == (10, 10)


def test_after_closing_the_pen_is_where_the_outline_began() -> None:
    assert list(path_strokes("M10 10 h5 v5 z l1 1"))[-1] == PathStroke("L", ((11, 11),))


def test_the_shortest_writing_of_numbers_is_understood() -> None:
    """8.3.1: `M 100-200` and `M 0.6.5` need no separators."""
    assert list(path_strokes("M100-200L.6.5e1")) == [
        PathStroke("M", ((100, -200),)),
        PathStroke("L", ((0.6, 5),)),
    ]


@pytest.mark.parametrize("data", ["M0 0 A1 1 0 0 0 2 2", "M0", "M0 0 z 3"])
def test_what_is_not_understood_is_not_drawn_halfway(data: str) -> None:
    with pytest.raises(ValueError, match="path data"):
        list(path_strokes(data))
