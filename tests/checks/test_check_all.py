"""All checks together: fixed order, the gap first, the same answer each time."""

from __future__ import annotations

from dataclasses import fields

import numpy as np
import pytest

from quiltpath.checks import CheckLimits, Supplies, check_all
from quiltpath.findings import Finding, Remedy
from quiltpath.patterns import join
from quiltpath.patterns.lines import layer_lines
from tests.checks.drawings import parallel
from tests.checks.sewing import RUNNER, join_at, lines_of, runner_of, runs_of, sewn, stitches_of

EVERYTHING_WRONG = [
    "gap-too-wide",
    "density-uneven",
    "lines-too-close",
    "join-crossed-shallow",
    "ends-on-show",
    "hole-worn",
    "bobbin-change",
]


def wrong_in_every_way(remedy: str = "mend it") -> object:
    paths = [[(500, y), (780, y)] for y in range(10, 320, 10)]
    paths += [[(500, 11.5), (780, 11.5)], [(390, 100), (410, 200)]]
    holes = [np.array([[0.0, 0.0], [3.0, 0.0]])] * 6
    return check_all(
        runner_of(seams=(join_at(400),)),
        lines_of(*paths),
        runs_of(*paths),
        stitches_of(*holes, sewn(100, 50.0), sewn(100, 60.0)),
        Supplies(gap_limit_mm=100.0, bobbin_m_per_stitch=0.01, bobbin_m=1.5),
        lambda: Remedy(remedy),
    )


def test_a_design_wrong_in_every_way_is_told_so_in_one_fixed_order() -> None:
    checked = wrong_in_every_way()
    assert [finding.code for finding in checked.findings] == EVERYTHING_WRONG  # type: ignore[attr-defined]


def test_every_finding_has_a_place_and_a_remedy_and_only_the_gap_says_no() -> None:
    findings = wrong_in_every_way().findings  # type: ignore[attr-defined]
    assert all(finding.at_mm is not None and finding.remedy for finding in findings)
    assert [finding.code for finding in findings if finding.fails] == ["gap-too-wide"]
    assert findings[0].remedy == "mend it"


def test_the_one_line_text_tells_what_where_and_how_to_mend_it() -> None:
    finding = Finding("hole-worn", "chewed", "sew less", (12.4, 250.6), where="in block A1")
    assert finding.text == "chewed (in block A1); sew less"
    assert Finding("note", "all well").text == "all well"


def test_the_same_design_gives_the_same_findings() -> None:
    assert wrong_in_every_way() == wrong_in_every_way()


def test_a_sound_design_passes_in_silence() -> None:
    """Lines from edge to edge, 25 mm apart, on a runner with a join, one bobbin."""
    lines = layer_lines(parallel(25, RUNNER, first=10), name="rows")
    runs = runs_of(*[line.coords for line in lines.geometry], secured=(False, False))
    checked = check_all(
        runner_of(seams=(join_at(400),)),
        lines,
        runs,
        stitches_of(*[sewn(266, 25.0 * row + 10) for row in range(13)]),
        Supplies(gap_limit_mm=76.2, bobbin_m_per_stitch=0.0043, bobbin_m=60.0),
    )
    assert checked.findings == ()
    assert checked.gaps.widest_mm == pytest.approx(25, abs=0.05)


def test_each_layer_has_its_own_line_gap() -> None:
    rows = layer_lines(parallel(25, RUNNER), name="rows")
    ring = layer_lines([RUNNER.exterior], name="edge")
    columns = layer_lines(parallel(60, RUNNER, 90), name="columns")
    checked = check_all(
        runner_of(),
        join([rows, ring, columns]),
        runs_of(),
        stitches_of(),
        Supplies(None, 0.004, 60),
    )
    distances = [gap and gap.distance_mm for gap in checked.line_gaps]
    assert distances[1] is None
    assert [distances[0], distances[2]] == pytest.approx([25, 60])


def test_every_limit_is_documented() -> None:
    for limit in fields(CheckLimits):
        assert f"``{limit.name}``" in (CheckLimits.__doc__ or "")
