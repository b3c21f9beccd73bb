"""Lengths as people write them, and as rulers show them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.units import both_units, inch_fraction, millimetres, parse_length


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        # The international inch is 25.4 mm exactly, the yard 0.9144 m (1959 agreement; memory).
        ("1 1/4 in", 31.75),
        ("1¼ in", 31.75),
        ("1-1/4 in", 31.75),
        ('2"', 50.8),
        ("⅜ in", 9.525),
        ("48 cm", 480.0),
        ("3.2 mm", 3.2),
        ("2 yd", 1828.8),
        ("1 m", 1000.0),
        ("1 ft", 304.8),
        (".5 in", 12.7),
        ("-2 in", -50.8),
    ],
)
def test_a_length_is_read_as_it_is_written(written: str, mm: float) -> None:
    assert parse_length(written) == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize("written", ["", "in", "1/0 in", "a in", "1 1 in", "1 furlong", "1e9 in"])
def test_what_is_no_length_is_refused(written: str) -> None:
    with pytest.raises(ValueError):
        parse_length(written, "mm")


def test_a_bare_number_needs_the_files_unit() -> None:
    assert parse_length(2, "in") == parse_length("2", "in") == 50.8
    with pytest.raises(ValueError, match="unit is missing"):
        parse_length("2")


@given(st.integers(0, 4000))
def test_eighths_survive_being_printed_and_read_again(eighths: int) -> None:
    mm = eighths / 8 * 25.4
    assert parse_length(inch_fraction(mm)) == pytest.approx(mm)


def test_results_print_as_a_ruler_shows_them() -> None:
    assert inch_fraction(31.75) == "1 1/4 in"
    assert inch_fraction(0.0) == "0 in"
    assert inch_fraction(24.62) == "1 in"
    assert inch_fraction(24.62, 16) == "1 in"
    assert millimetres(24.62) == "24.5 mm"
    assert both_units(50.8) == "2 in (51 mm)"
