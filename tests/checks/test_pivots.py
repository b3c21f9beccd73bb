"""Turns of a crosshatch in one line and the trim line."""

from __future__ import annotations

import pytest

from quiltpath.checks.pivots import pivot_findings, turns_inside_mm
from quiltpath.make import compute
from quiltpath.project import parse
from quiltpath.quilting import draw
from tests.quilting.runners import layer, plain, sashed

PROJECT = """
[runner]
length = "900 mm"
width = "400 mm"
[[quilting]]
pattern = "one-line-crosshatch"
inset = "{inset}"
"""


@pytest.mark.parametrize("inset", [3.0, 6.35, 20.0])
def test_turns_lie_inside_the_trim_line_by_the_inset(inset: float) -> None:
    layers = [layer("one-line-crosshatch", inset=inset)]
    lines = draw(plain(900, 400), layers)
    inside, at = turns_inside_mm(plain(900, 400), lines, 0)
    assert inside == pytest.approx(inset)
    assert min(at[0], at[1], 900 - at[0], 400 - at[1]) == pytest.approx(inset)
    assert pivot_findings(plain(900, 400), lines, layers) == ()


@pytest.mark.parametrize(("inset", "words"), [(0.0, "on the trim line"), (2.9, "2.9 mm inside")])
def test_turns_that_squaring_up_would_cut_off_are_refused(inset: float, words: str) -> None:
    result = compute(parse(PROJECT.format(inset=f"{inset} mm")))
    (finding,) = (f for f in result.findings if f.code == "turns-at-the-trim-line")
    assert finding.fails and words in finding.message and "1/4 in" in finding.remedy


def test_the_usual_inset_keeps_the_turns_inside() -> None:
    result = compute(parse(PROJECT.replace('inset = "{inset}"', "")))
    assert not any(f.code == "turns-at-the-trim-line" for f in result.findings)
    assert turns_inside_mm(result.runner, result.lines, 0)[0] == pytest.approx(6.35)


def test_in_blocks_inside_the_runner_turns_may_lie_on_the_seams() -> None:
    layers = [layer("one-line-crosshatch", region="blocks", inset=0)]
    lines = draw(sashed(), layers)
    assert turns_inside_mm(sashed(), lines, 0)[0] > 3.0
    assert pivot_findings(sashed(), lines, layers) == ()


def test_other_layers_have_no_turns_to_lose() -> None:
    layers = [layer("straight", spacing=50)]
    lines = draw(plain(900, 400), layers)
    assert turns_inside_mm(plain(900, 400), lines, 0)[0] == float("inf")
    assert pivot_findings(plain(900, 400), lines, layers) == ()
