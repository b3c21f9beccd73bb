"""Stitches as pyembroidery reads them out of a file: to the inch, even division, curves."""

from __future__ import annotations

import numpy as np
from scipy.spatial.distance import directed_hausdorff

from tests.outside.check import outside
from tests.outside.gap import AS_GIVEN, disc, layer
from tests.outside.job import IN, holes, project, straight, told

STASH = "stashbandit.net, convert metric stitch length to stitches per inch"
ONE_LINE = 20.0
"""Width of a runner, in mm, that takes a single lengthwise line."""


def seam(length: float | str, stitch: str = "") -> str:
    """A project of one seam along its middle."""
    section = f"[stitch]\n{stitch}\n" if stitch else ""
    return project(length, ONE_LINE, AS_GIVEN + section + straight(40))


def steps(text: str) -> np.ndarray:
    """Lengths of the stitches, in mm."""
    return np.hypot(*np.diff(holes(text), axis=0).T)


def to_the_inch(set_mm: float) -> float:
    """Stitches to the inch on a seam of 100 in."""
    return len(steps(seam("100 in", f"length = {set_mm}\nshortest = 2.4\nlongest = 3.6"))) / 100


@outside(
    "stitches",
    "stitches of 2.5, 3.0 and 3.5 mm: to the inch",
    STASH,
    (10.16, 8.47, 7.26),
    0.01,
)
def stitches_to_the_inch() -> tuple[float, ...]:
    return to_the_inch(2.5), to_the_inch(3.0), to_the_inch(3.5)


TWELVE = 'length = "1/12 in"\nshortest = 2\nlongest = 3.5'


@outside("stitches", "12 to the inch: mm each", STASH, 2.117, 0.0015)
def twelve_to_the_inch() -> float:
    return float(np.median(steps(seam("100 in", TWELVE))))


@outside(
    "stitches",
    "inches sewn in a minute at 1050 stitches, 12 to the inch",
    "generations-quilt-patterns.com, stitch length",
    87.5,
    0.05,
)
def seam_in_a_minute() -> float:
    twelve = "length = 2.1167\nshortest = 2\nlongest = 3.5"
    ten = project("100 in", 180, f"{AS_GIVEN}[stitch]\n{twelve}\n{straight(20)}")
    found = told(ten + "[time]\nstitches_per_minute = 1050\n")
    return float(found["stitching"]["stitched_mm"] / IN / found["time"]["stitching_min"])


@outside(
    "stitches",
    "a yard of seam in mm, from the first needle hole to the last",
    "international yard and pound agreement, 1959 (memory)",
    914.4,
    0.002,
)
def yard() -> float:
    return float(np.ptp(holes(seam("1 yd"))[:, 0]))


@outside(
    "stitches",
    "33 ⅓ in of seam in mm",
    "arithmetic: 100 inches of 25.4 over 3",
    100 * IN / 3,
    0.002,
)
def third() -> float:
    return float(np.ptp(holes(seam("33 ⅓ in"))[:, 0]))


@outside(
    "stitches",
    "spread of lengths along one straight seam of 1830 mm",
    "even division: none but the thousandth that the file rounds to",
    0.0,
    0.0021,
)
def even() -> float:
    return float(np.ptp(steps(seam(1830))))


@outside(
    "stitches",
    "stitches on 320 mm, and the stitch on 1830 mm that comes nearest 3.2",
    "arithmetic: 320 / 3.2, 1830 / 572",
    (100.0, 1830 / 572),
    0.0005,
)
def nearest() -> tuple[float, ...]:
    return float(len(steps(seam(320)))), float(steps(seam(1830)).mean())


SLANTED = project(400, 100, AS_GIVEN + layer("straight", "spacing = 6.93\nangle = 45"))


@outside(
    "stitches",
    "50 seams of 5 to 141 mm: stitches longer than 3.5 mm",
    "common practice: 3 to 3.5 mm for straight quilting",
    0,
)
def never_too_long() -> int:
    return sum(int((each > 3.502).sum()) for each in by_seam())


@outside(
    "stitches",
    "seams of 18 mm and more among them with a stitch shorter than 3.0 mm",
    "arithmetic: from 6 stitches on the ranges 3.0 n to 3.5 n touch",
    0,
)
def all_within() -> int:
    return sum(bool((each < 2.998).any()) for each in by_seam() if each.sum() > 18)


def by_seam() -> list[np.ndarray]:
    """Lengths of stitches, an array a seam: a longer step leads to the next."""
    lengths = steps(SLANTED)
    cuts = np.flatnonzero(lengths > 4.5)
    found = [part[part < 4.5] for part in np.split(lengths, cuts)]
    assert len(found) > 40
    return found


@outside(
    "stitches",
    "needle holes off a circle of radius 50",
    "scipy.spatial, directed Hausdorff distance to 100,000 true points",
    0.0,
    0.02,
)
def on_the_curve() -> float:
    found = holes(project(200, 200, AS_GIVEN + disc(50, 100, 100)))
    middle = (found.max(axis=0) + found.min(axis=0)) / 2
    turn = np.linspace(0, 2 * np.pi, 100_000)
    ring = 50 * np.column_stack([np.cos(turn), np.sin(turn)])
    return float(directed_hausdorff(found - middle, ring)[0])


SQUARE = """[[motif]]
name = "tile"
outline = [[0, 0], [70.3, 0], [70.3, 70.3], [0, 70.3]]
at = [100, 100]
[[quilting]]
kind = "motif"
"""


@outside(
    "stitches",
    "corners of a square of 70.3 mm without a needle hole",
    "common practice: corners always get a needle point",
    0,
)
def corners() -> int:
    found = holes(project(200, 200, AS_GIVEN + SQUARE))
    low, high = found.min(axis=0), found.max(axis=0)
    assert np.abs(high - low - 70.3).max() < 0.01
    square = [(x, y) for x in (low[0], high[0]) for y in (low[1], high[1])]
    return sum(float(np.hypot(*(found - corner).T).min()) > 0.002 for corner in square)


@outside(
    "stitches",
    "tiny stitches at start and end of a line inside the quilt: how many, the least, the greatest",
    "common practice: a few of about 1 mm; six at each end here",
    (12.0, 1.0, 1.0),
    0.1,
)
def securing() -> tuple[float, ...]:
    grid = "[grid]\nalong = 1\nouter_sashing = 50\n"
    one = layer("straight", 'spacing = 200\nregion = "blocks"')
    tiny = steps(project(420, 120, AS_GIVEN + grid + one))
    tiny = tiny[tiny < 1.2]
    return float(len(tiny)), float(tiny.min()), float(tiny.max())
