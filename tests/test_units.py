"""Lengths as people write them, and as rulers show them."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quiltpath.units import (
    both_units,
    inch_decimal,
    inch_fraction,
    millimetres,
    minutes_of,
    parse_length,
    say_in_units,
)


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
        ("-1 1/4 in", -31.75),
        ("+2 in", 50.8),
        ("1 / 2 in", 12.7),
        ("2.5 cm", 25.0),
        ("2'", 609.6),
        ("1 yard", 914.4),
        ("3 Inches", 76.2),
        ("3 in.", 76.2),
        ("2 metres", 2000.0),
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


@pytest.mark.parametrize(
    ("written", "fault"),
    [
        ("1/0 in", "a fraction cannot have 0 below the line"),
        ("1 furlong", "'furlong' is not a unit of length; use mm, cm, m, in, ft or yd"),
        ("about", "'about' is not a length"),
        ("", "'' is not a length"),
        (float("inf"), "a length must be a finite number"),
        (True, "a length is a number with a unit"),
    ],
)
def test_the_fault_of_a_length_is_told_in_plain_words(written: str, fault: str) -> None:
    with pytest.raises(ValueError) as told:
        parse_length(written, "mm")
    assert str(told.value) == fault


@pytest.mark.parametrize(
    ("sign", "numerator", "denominator"),
    [
        ("½", 1, 2), ("⅓", 1, 3), ("⅔", 2, 3), ("¼", 1, 4), ("¾", 3, 4), ("⅕", 1, 5), ("⅖", 2, 5),
        ("⅗", 3, 5), ("⅘", 4, 5), ("⅙", 1, 6), ("⅚", 5, 6), ("⅛", 1, 8), ("⅜", 3, 8), ("⅝", 5, 8),
        ("⅞", 7, 8),
    ],
)  # fmt: skip
def test_a_fraction_in_one_sign_is_what_the_character_means(
    sign: str, numerator: int, denominator: int
) -> None:
    """Each also by the Unicode database's own value of it."""
    assert unicodedata.numeric(sign) == pytest.approx(numerator / denominator)
    assert parse_length(f"{sign} in") == pytest.approx(25.4 * numerator / denominator)
    assert parse_length(f"3{sign} in") == pytest.approx(25.4 * (3 + numerator / denominator))


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
    assert inch_fraction(-31.75) == "-1 1/4 in"
    assert (inch_fraction(12.7), inch_fraction(1.0)) == ("1/2 in", "0 in")
    assert inch_decimal(31.75) == "1.25 in"


@pytest.mark.parametrize(
    ("mm", "shown"),
    [(24.7, "24.5 mm"), (24.8, "25 mm"), (25.2, "25 mm"), (25.3, "25.5 mm"), (-2.5, "-2.5 mm")],
)
def test_millimetres_go_to_the_nearest_half(mm: float, shown: str) -> None:
    assert millimetres(mm) == shown


def test_an_eighth_is_shown_unless_a_finer_ruler_is_asked_for() -> None:
    assert both_units(4.7625, 16) == "3/16 in (5 mm)"
    assert both_units(3.175) == "1/8 in (3 mm)"
    assert both_units(3.175, 4) == "0 in (3 mm)"
    assert both_units(25.4 / 9) == "1/8 in (3 mm)"


@pytest.mark.parametrize(
    ("written", "minutes"),
    [
        ("2 h", 120),
        ("1.5 h", 90),
        ("90 min", 90),
        ("1 h 30 min", 90),
        (" 1h30min ", 90),
        ("0.5 min", 0.5),
        ("0 h", 0),
    ],
)
def test_a_time_is_read_in_hours_and_minutes(written: str, minutes: float) -> None:
    assert minutes_of(written) == minutes


@pytest.mark.parametrize("written", ["", " ", "2", "h", "30 min 1 h", "2 hours", "-1 h", "1 h 5"])
def test_what_is_no_time_is_refused(written: str) -> None:
    with pytest.raises(ValueError) as told:
        minutes_of(written)
    assert str(told.value) == f"{written!r} is not a time"


def test_a_line_that_was_broken_inside_a_length_stays_broken() -> None:
    """Notes are wrapped first; without the break a line would run over the paper's edge."""
    told = say_in_units("rows lie 1 1/16 in\n    (27 mm) apart, by 2 in (51\n    mm).", "inches")
    assert told == "rows lie 1 1/16 in\n    apart, by 2\n    in."
