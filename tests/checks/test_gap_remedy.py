"""Where the gap fails, the job names the widest spacing, to 1/8 in, that passes."""

from __future__ import annotations

import re

import pytest

from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result

EIGHTH_MM = 25.4 / 8

PROJECT = """
title = "Rows"
[runner]
length = "600 mm"
width = "200 mm"
[[quilting]]
name = "rows"
kind = "{kind}"
spacing = "{spacing}"
[wadding]
limit = "60 mm"
"""


def result(spacing: str, kind: str = "straight") -> Result:
    return compute(parse(PROJECT.format(kind=kind, spacing=spacing)))


def remedy(of: Result) -> str:
    (finding,) = [finding for finding in of.findings if finding.fails]
    assert finding.code == "gap-too-wide"
    return finding.remedy


def eighths_in(text: str) -> int:
    """Eighths of an inch in "2 1/4 in": 18."""
    whole, numerator, denominator = re.search(r"(\d+)(?: (\d)/(\d))? in", text).groups()  # type: ignore[union-attr]
    return int(whole) * 8 + (int(numerator) * 8 // int(denominator) if numerator else 0)


@pytest.mark.parametrize("kind", ["straight", "grid"])
def test_the_spacing_offered_passes_and_the_next_eighth_does_not(kind: str) -> None:
    offered = remedy(result("100 mm", kind))
    assert "'rows'" in offered
    steps = eighths_in(offered)
    for spacing, passes in ((steps, True), (steps + 1, False)):
        tried = result(f"{spacing * EIGHTH_MM} mm", kind)
        assert any(finding.fails for finding in tried.findings) is not passes


def test_a_gap_that_passes_is_left_alone() -> None:
    assert not any(finding.fails for finding in result("40 mm").findings)


def test_where_no_layer_has_a_spacing_one_is_asked_for() -> None:
    bare = """
    title = "Edge only"
    [runner]
    length = "600 mm"
    width = "200 mm"
    [grid]
    along = 1
    across = 1
    outer_sashing = "20 mm"
    [[quilting]]
    kind = "sashing"
    [wadding]
    limit = "60 mm"
    """
    assert remedy(compute(parse(bare))) == "add a layer of quilting that reaches there"
