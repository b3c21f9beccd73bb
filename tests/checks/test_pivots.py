"""Turns of a crosshatch in one line and the trim line."""

from __future__ import annotations

import pytest

from quiltpath.checks.needle_checks import OutermostTurn, outermost_turn, pivot_findings
from quiltpath.patterns import draw, join
from quiltpath.project import parse
from quiltpath.result.computing import compute
from tests.checks.sewing import lines_of
from tests.patterns.runners import layer, plain, sashed

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
    turn = outermost_turn(plain(900, 400), lines, 0)
    assert turn is not None and turn.inside_mm == pytest.approx(inset)
    x, y = turn.at_mm
    assert min(x, y, 900 - x, 400 - y) == pytest.approx(inset)
    assert pivot_findings(plain(900, 400), lines, layers) == ()


def test_of_the_turns_of_its_own_closed_lines_the_one_nearest_the_edge_is_told() -> None:
    """A loop whose corners lie 30, 20, 10 and 20 mm inside; an open line and another layer's loop
    lie nearer."""
    loop = [(30, 200), (200, 380), (890, 200), (200, 20), (30, 200)]
    open_line = [(5, 5), (895, 5), (895, 395)]
    near = [(2, 2), (898, 2), (898, 398), (2, 2)]
    lines = join([lines_of(near), lines_of(open_line, loop), lines_of(open_line)])
    runner = plain(900, 400)
    assert outermost_turn(runner, lines, 1) == OutermostTurn(10.0, (890.0, 200.0))
    assert outermost_turn(runner, lines, 2) is None


@pytest.mark.parametrize(
    ("inside", "words"),
    [
        (0.04, "on the trim line"),
        (0.06, "0.1 mm inside the trim line"),
        (1.0, "1.0 mm inside the trim line"),
        (2.99, "3.0 mm inside the trim line"),
    ],
)
def test_a_turn_less_than_3_mm_inside_is_told_by_its_layer_and_to_a_tenth(
    inside: float, words: str
) -> None:
    loop = [(450, inside), (800, 200), (450, 300), (100, 200), (450, inside)]
    lines = join([lines_of(loop), lines_of(loop)])
    layers = [layer("one-line-crosshatch"), layer("one-line-crosshatch", name="Lattice")]
    found = pivot_findings(plain(900, 400), lines, layers)
    assert [one.message.split(",")[0] for one in found] == [
        f"one-line-crosshatch: the line turns {words}", f"Lattice: the line turns {words}",
    ]  # fmt: skip
    assert all(one.fails and one.at_mm == (450.0, inside) for one in found)


@pytest.mark.parametrize(("inset", "words"), [(0.0, "on the trim line"), (2.9, "2.9 mm inside")])
def test_turns_that_squaring_up_would_cut_off_are_refused(inset: float, words: str) -> None:
    result = compute(parse(PROJECT.format(inset=f"{inset} mm")))
    (finding,) = (f for f in result.findings if f.code == "turns-at-the-trim-line")
    assert finding.fails and words in finding.message and "1/4 in" in finding.remedy


def test_the_usual_inset_keeps_the_turns_inside() -> None:
    result = compute(parse(PROJECT.replace('inset = "{inset}"', "")))
    assert not any(f.code == "turns-at-the-trim-line" for f in result.findings)
    turn = outermost_turn(result.runner, result.lines, 0)
    assert turn is not None and turn.inside_mm == pytest.approx(6.35)


def test_in_blocks_inside_the_runner_turns_may_lie_on_the_seams() -> None:
    layers = [layer("one-line-crosshatch", region="blocks", inset=0)]
    lines = draw(sashed(), layers)
    turn = outermost_turn(sashed(), lines, 0)
    assert turn is not None and turn.inside_mm > 3.0
    assert pivot_findings(sashed(), lines, layers) == ()


def test_other_layers_have_no_turns_to_lose() -> None:
    layers = [layer("straight", spacing=50)]
    lines = draw(plain(900, 400), layers)
    assert outermost_turn(plain(900, 400), lines, 0) is None
    assert pivot_findings(plain(900, 400), lines, layers) == ()
