"""A backing that is wound on rollers: seams along them lie flat, one across builds up."""

from __future__ import annotations

import pytest

from quiltpath.documents.instructions import Layout, steps
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import Measures

LONGARM = '[machine]\nprofile = "longarm-large"\nformats = ["dxf"]\n'
CROSSWISE = '[machine]\nprofile = "longarm-small"\nformats = ["dxf"]\nturns = true\n'


def result_of(width: float, more: str, length: float = 1600) -> Result:
    """With cloth that is 1000 mm wide, the usual metric figure, and backing 100 mm larger."""
    return compute(
        parse(
            f'units = "mm"\n[runner]\nlength = {length}\nwidth = {width}\nsize_is = "flat"\n'
            f'[[quilting]]\nkind = "straight"\nspacing = 50\n{more}'
        )
    )


def loading_of(result: Result) -> str:
    own = steps(result, Layout.of("A4", False).picture_room, Measures("metric"))
    return " ".join(next(step for step in own if step.title == "Layer on the frame").tasks)


def seams_run(result: Result) -> str:
    """Which way the seams lie on the runner, by the pieces that are sewn along them."""
    backing = result.cutting.layers.backing
    if not backing.seams_mm:
        return ""
    along = backing.join_mm / len(backing.seams_mm) == pytest.approx(backing.size.length_mm)
    return "along the runner" if along else "across the runner"


@pytest.mark.parametrize(
    ("width", "more", "run"),
    [
        # 1800 x 600 of backing: two widths of 600 mm are 600 mm less cloth than one piece of 1800
        (400, "", "across the runner"),
        (400, LONGARM, ""),
        (400, CROSSWISE, "across the runner"),
        # 1800 x 1100: two widths across are 2200 mm of cloth, two along 3600
        (900, "", "across the runner"),
        (900, LONGARM, "along the runner"),
        (900, CROSSWISE, "across the runner"),
        # who says what a seam is worth, or bastes before the frame, is not asked about rollers
        (900, f'{LONGARM}[backing]\nseam_worth = "200 mm"\n', "across the runner"),
        (900, f'{LONGARM}[basting]\nmethod = "pins"\n', "across the runner"),
    ],
)
def test_no_seam_lies_across_the_rollers(width: float, more: str, run: str) -> None:
    assert seams_run(result_of(width, more)) == run


@pytest.mark.parametrize(
    ("width", "more", "told"),
    [
        (400, LONGARM, ""),
        (900, LONGARM, "Its seam lies along the rollers, where it winds up flat."),
        (900, CROSSWISE, "Its seam lies along the rollers, where it winds up flat."),
        (
            900,
            f'{LONGARM}[backing]\nseam_worth = "200 mm"\n',
            "Its seam lies across the rollers and builds up in one place.",
        ),
    ],
)
def test_the_frame_s_step_says_how_they_lie(width: float, more: str, told: str) -> None:
    said = loading_of(result_of(width, more))
    if told:
        assert told in said
    else:
        assert "seam" not in said


def test_several_seams_are_told_as_several() -> None:
    said = loading_of(result_of(2000, LONGARM))
    assert "Its seams lie along the rollers, where they wind up flat." in said
