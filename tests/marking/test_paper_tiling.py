"""Tiling: paper sizes, every mark on some page, and no page too many."""

from __future__ import annotations

import math
from itertools import pairwise, product

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.errors import InputError
from quiltpath.marking.page_tiling import fewest_pages, pack, plain_tiling
from quiltpath.marking.paper_sizes import PAPERS_MM, PaperSetting, check_setting, paper_named
from quiltpath.runner.grid import column_letter

A4 = (200.0, 280.0)


@pytest.mark.parametrize(
    ("name", "size"), [("A4", (210, 297)), ("A3", (297, 420)), ("A2", (420, 594))]
)
def test_a_sizes_are_iso_216(name: str, size: tuple[int, int]) -> None:
    assert PAPERS_MM[name] == size


def test_the_a_series_halves_and_keeps_its_shape() -> None:
    """ISO 216: A0 is a square metre, sides 1 : root 2, each size half of the one before."""
    series = [PAPERS_MM[f"A{n}"] for n in range(5)]
    assert series[0][0] * series[0][1] == pytest.approx(1_000_000, rel=1e-3)
    assert all(high / wide == pytest.approx(math.sqrt(2), rel=0.005) for wide, high in series)
    for larger, smaller in pairwise(series):
        assert smaller == (larger[1] // 2, larger[0])


@pytest.mark.parametrize(
    ("name", "inches"), [("Letter", (8.5, 11)), ("Legal", (8.5, 14)), ("Tabloid", (11, 17))]
)
def test_inch_sizes_are_ansi_y14_1(name: str, inches: tuple[float, float]) -> None:
    """ANSI/ASME Y14.1 sizes A and B (from memory); Legal is 8.5 x 14 in (common practice)."""
    assert PAPERS_MM[name] == pytest.approx((inches[0] * 25.4, inches[1] * 25.4))


def test_an_unknown_paper_is_answered_with_those_there_are() -> None:
    with pytest.raises(InputError, match=r"no paper 'A99'; use A4, A3"):
        paper_named("A99")
    assert paper_named("letter") == PAPERS_MM["Letter"]


def test_paper_too_small_for_the_check_squares_is_refused() -> None:
    with pytest.raises(InputError, match="no room for the check squares"):
        check_setting(PaperSetting(size=(105.0, 148.0)))


def boxes(corners: list[tuple[int, int, int, int]]) -> np.ndarray:
    """Rectangles as closed lines, each by its lower left corner and its size."""
    made = [shapely.box(x, y, x + w, y + h).exterior for x, y, w, h in corners]
    return np.array(made, dtype=object)


marks_on_a_small_cloth = st.lists(
    st.tuples(st.integers(0, 60), st.integers(0, 60), st.integers(1, 12), st.integers(1, 12)),
    min_size=1,
    max_size=5,
).map(boxes)


def fewest_by_brute_force(
    marks: np.ndarray, rooms: dict[str, tuple[float, float]], overlap: float
) -> int:
    """The fewest pages over both orientations and every offset of whole mm, counted one by one."""
    best = 10**9
    x0, y0, x1, y1 = shapely.total_bounds(marks)
    for wide, high in rooms.values():
        step_x, step_y = wide - overlap, high - overlap
        for dx, dy in product(range(int(step_x)), range(int(step_y))):
            columns = np.arange(x0 - dx, x1 + 1e-6, step_x)
            rows = np.arange(y0 - dy, y1 + 1e-6, step_y)
            x, y = (grid.ravel() for grid in np.meshgrid(columns, rows))
            # half-open cells, as a point on a page edge is on one page only
            cells = shapely.box(x, y, x + step_x - 1e-3, y + step_y - 1e-3)
            hit = shapely.intersects(cells[:, None], marks[None, :]).any(axis=1)
            best = min(best, int(hit.sum()))
    return best


@settings(max_examples=12, deadline=None)
@given(marks=marks_on_a_small_cloth)
def test_no_offset_or_orientation_takes_fewer_pages(marks: np.ndarray) -> None:
    rooms = {"upright": (18.0, 24.0), "sideways": (24.0, 18.0)}
    found = fewest_pages(marks, rooms, 4.0)
    assert found.pages <= fewest_by_brute_force(marks, rooms, 4.0)


lines_anywhere = st.lists(
    st.tuples(*[st.floats(0, 900) for _ in range(4)]).filter(
        lambda c: math.hypot(c[2] - c[0], c[3] - c[1]) > 1
    ),
    min_size=1,
    max_size=12,
).map(lambda many: np.array([shapely.LineString([c[:2], c[2:]]) for c in many], dtype=object))


@settings(max_examples=40, deadline=None)
@given(marks=lines_anywhere, overlap=st.floats(2, 20))
def test_no_mark_is_lost_and_no_page_is_larger_than_its_window(
    marks: np.ndarray, overlap: float
) -> None:
    rooms = {"upright": A4, "sideways": A4[::-1]}
    found = fewest_pages(marks, rooms, overlap)
    windows = [shapely.box(*found.window(r, c)) for r, c in found.cells()]
    lost = shapely.difference(shapely.union_all(marks), shapely.union_all(windows).buffer(1e-6))
    assert shapely.length(lost) < 1e-6
    for r, c in found.cells():
        x0, y0, x1, y1 = found.window(r, c)
        assert (x1 - x0, y1 - y0) == pytest.approx(rooms[found.turn])
    assert (
        found.pages <= plain_tiling(tuple(shapely.total_bounds(marks)), A4, overlap)
        or found.turn == "sideways"
    )


@settings(max_examples=40, deadline=None)
@given(marks=lines_anywhere)
def test_never_more_pages_than_the_plain_tiling(marks: np.ndarray) -> None:
    rooms = {"upright": A4, "sideways": A4[::-1]}
    plain = plain_tiling(tuple(shapely.total_bounds(marks)), A4, 10.0)
    assert fewest_pages(marks, rooms, 10.0).pages <= plain


def test_a_drawing_that_just_fits_takes_one_page() -> None:
    marks = boxes([(0, 0, 200, 280)])
    assert fewest_pages(marks, {"upright": A4}, 10.0).pages == 1
    assert fewest_pages(marks, {"sideways": A4[::-1]}, 10.0).pages == 2


def test_empty_pages_in_the_middle_are_left_out() -> None:
    marks = boxes([(0, 0, 20, 20), (1000, 0, 20, 20)])
    found = fewest_pages(marks, {"upright": A4}, 10.0)
    assert found.pages == 2
    assert found.needed.size > 2


def test_pages_are_numbered_as_one_reads() -> None:
    """From left to right, the top row first; a letter and a number would be a block's name."""
    marks = boxes([(0, 0, 500, 700)])
    found = fewest_pages(marks, {"upright": A4}, 10.0)
    names = [found.name(r, c) for r, c in found.cells()]
    assert names == ["1", "2", "3", "4", "5", "6", "7", "8"]  # the middle one is empty
    assert [column_letter(n) for n in (0, 25, 26, 27)] == ["A", "Z", "AA", "AB"]


def test_the_plain_tiling_of_the_worked_example() -> None:
    """2200 x 320 mm, window 200 x 280, 10 mm shared: 12 columns (2190 / 190) by 2 rows."""
    assert plain_tiling((0, 0, 2200, 320), A4, 10.0) == 24


@given(
    st.lists(st.tuples(st.floats(5, 190), st.floats(5, 270)), min_size=1, max_size=14),
)
def test_packed_pieces_lie_on_the_page_and_not_on_each_other(
    sizes: list[tuple[float, float]],
) -> None:
    places = pack(sizes, A4, 3.0)
    laid = [
        (page, shapely.box(x, y, x + w, y + h))
        for (page, x, y), (w, h) in zip(places, sizes, strict=True)
    ]
    sheet = shapely.box(0, 0, *A4).buffer(1e-6)
    for number, (page, piece) in enumerate(laid):
        assert sheet.covers(piece)
        for other_page, other in laid[:number]:
            assert page != other_page or piece.distance(other) > 2.99
