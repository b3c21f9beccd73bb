"""Every outside check holds, and the page that lists them says what they give."""

from __future__ import annotations

import pytest

from tests.outside.check import OutsideCheck
from tests.outside.outside_slip import OutsideSlip
from tests.outside.slip_list import SLIPS
from tests.outside.slips import fewest_that_fail, known, name
from tests.outside.table import PLACE, all_checks, table


@pytest.mark.parametrize("check", all_checks(), ids=lambda check: f"{check.field}: {check.what}")
def test_the_package_says_what_the_source_says(check: OutsideCheck) -> None:
    assert check.holds(), f"{check.source}: {check.expected}, but got {check.got()}"


def test_each_names_its_source_and_stands_once() -> None:
    checks = all_checks()
    assert all(len(check.source) > 5 for check in checks)
    assert len({(check.field, check.what) for check in checks}) == len(checks)
    assert not [check.what for check in checks if ";" in check.what], "SLIPS.md parts rows by it"


def test_a_check_can_fail() -> None:
    def nearly() -> float:
        return 2.21

    wrong = OutsideCheck("thread", "worked example", "by hand", 2.2, nearly, 0.001)
    assert not wrong.holds()
    assert not OutsideCheck("paper", "size", "by hand", (1.0, 2.0), lambda: (1.0,), 9.0).holds()
    assert not OutsideCheck("paper", "size", "by hand", 1.0, lambda: float("nan"), 9.0).holds()


def test_the_page_says_what_the_checks_give() -> None:
    written = PLACE.read_text(encoding="utf-8")
    assert written == table(), "run python -m tests.outside.table"


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.what)
def test_a_slip_on_the_list_can_still_be_made_and_rows_are_told_that_notice_it(
    slip: OutsideSlip,
) -> None:
    assert slip.stands(), f"{slip.file}: its line is gone; put the slip where it belongs now"
    assert int(known()[slip.what].split(" | ")[1]) > 0


def test_every_row_is_named_beside_a_slip_that_fails_it() -> None:
    """A new row needs its slip; one that no fault fails is no check."""
    named = fewest_that_fail(known().values())
    without = [name(check) for check in all_checks() if name(check) not in named]
    assert without == [], "write a slip in slips_of_*.py; python -m tests.outside.slips new"


def test_the_page_tells_of_no_row_and_no_slip_that_is_gone() -> None:
    rows, slips = {name(check) for check in all_checks()}, {slip.what for slip in SLIPS}
    assert set(fewest_that_fail(known().values())) <= rows
    assert set(known()) - {"slip", "---"} == slips
