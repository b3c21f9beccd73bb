"""Stitches: lengths to the inch, even division, chords of curves."""

from __future__ import annotations

import math

import numpy as np
from scipy.spatial.distance import directed_hausdorff

from quiltpath.project.sewing_sections import TimeSection
from quiltpath.stitching import place
from quiltpath.stitching.thread_and_time import sewing_time
from quiltpath.units import MM_PER_INCH, inch_fraction, parse_length
from tests.outside.check import outside
from tests.stitching.sewing import QUILTING, TAILS, circle, holes, lengths, runs_of

STASH = "stashbandit.net, convert metric stitch length to stitches per inch"


def sewn(length_mm: float) -> np.ndarray:
    return lengths(place(runs_of([(0, 0), (length_mm, 0)]), TAILS))


@outside("stitches", "3.0 mm stitches to the inch", STASH, 8.47, 0.005)
def three_mm() -> float:
    return parse_length("1 in") / parse_length("3.0 mm")


@outside("stitches", "3.5 mm stitches to the inch", STASH, 7.26, 0.005)
def three_and_a_half_mm() -> float:
    return parse_length("1 in") / parse_length("3.5 mm")


@outside("stitches", "2.5 mm stitches to the inch", STASH, 10.16, 0.005)
def two_and_a_half_mm() -> float:
    return parse_length("1 in") / parse_length("2.5 mm")


@outside("stitches", "12 to the inch: mm each", STASH, 2.117, 0.0005)
def twelve_to_the_inch() -> float:
    return parse_length("1/12 in")


@outside(
    "stitches",
    "inches sewn in a minute at 1050 stitches, 12 to the inch",
    "generations-quilt-patterns.com, stitch length",
    87.5,
    1e-9,
)
def seam_in_a_minute() -> float:
    setting = TimeSection(
        stitches_per_minute=1050.0, start=0.0, stop=0.0, pivot=0.0, bobbin_change=0.0
    )
    minutes = sewing_time(1050, 0, 0, 1, setting).stitching_min
    return 1050 * parse_length("1/12 in") / MM_PER_INCH / minutes


@outside("stitches", "an inch", "international yard and pound agreement, 1959 (memory)", 25.4)
def inch() -> float:
    return parse_length("1 in")


@outside("stitches", "a yard", "international yard and pound agreement, 1959 (memory)", 914.4)
def yard() -> float:
    return parse_length("1 yd")


@outside(
    "stitches",
    "one and a quarter inches, as a ruler shows 31.75 mm",
    "arithmetic: 31.75 / 25.4",
    "1 1/4 in",
)
def ruler() -> str:
    return inch_fraction(31.75)


@outside("stitches", "stitches on 320 mm set to 3.2", "arithmetic: 320 / 3.2", 100)
def hundred() -> int:
    return len(sewn(320.0))


@outside("stitches", "spread of lengths along one straight seam", "even division: none", 0.0, 1e-9)
def even() -> float:
    steps = sewn(1830.0)
    return float(steps.max() - steps.min())


@outside(
    "stitches",
    "stitch on 1830 mm that comes nearest 3.2",
    "arithmetic: 1830 / 572",
    1830 / 572,
    1e-9,
)
def nearest() -> float:
    return float(sewn(1830.0).mean())


@outside(
    "stitches",
    "seams of 1 to 400 mm with a stitch longer than 3.5 mm",
    "common practice: 3 to 3.5 mm for straight quilting",
    0,
)
def never_too_long() -> int:
    return sum(bool(sewn(float(length)).max() > 3.5 + 1e-9) for length in range(1, 401))


@outside(
    "stitches",
    "seams of 18 mm and more that fall out of 3.0 to 3.5 mm",
    "arithmetic: from n = 6 the ranges 3.0 n to 3.5 n touch",
    0,
)
def all_within() -> int:
    steps = [sewn(length / 4) for length in range(18 * 4, 400)]
    return sum(bool((s < 3.0 - 1e-9).any() or (s > 3.5 + 1e-9).any()) for s in steps)


@outside(
    "stitches",
    "chord on a circle of radius 100: 2 r sin(pi / n), n stitches",
    "closed form, regular polygon",
    0.0,
    1e-3,
)
def chord() -> float:
    steps = lengths(place(runs_of(circle(100.0, 200_000)), TAILS))
    return float(np.abs(steps - 200.0 * math.sin(math.pi / len(steps))).max())


@outside(
    "stitches",
    "needle holes off a circle of radius 50",
    "scipy.spatial, directed Hausdorff distance to 100,000 true points",
    0.0,
    0.01,
)
def on_the_curve() -> float:
    found = holes(place(runs_of(circle(50.0, 20_000)), TAILS))
    return float(directed_hausdorff(found, circle(50.0, 100_000))[0])


@outside(
    "stitches",
    "holes missing at the corners of a square of 70.3 mm",
    "common practice: corners always get a needle point",
    0,
)
def corners() -> int:
    square = np.array([(0, 0), (70.3, 0), (70.3, 70.3), (0, 70.3), (0, 0)])
    found = holes(place(runs_of(square), TAILS))
    return sum(np.hypot(*(found - corner).T).min() > 1e-9 for corner in square)


@outside(
    "stitches",
    "securing stitches at a start and an end inside the quilt",
    "common practice: a few tiny stitches of about 1 mm; six set here",
    12,
)
def securing() -> int:
    return int((place(runs_of([(0, 0), (320, 0)], secured=True), QUILTING).kind == 1).sum())


@outside("stitches", "length sewn on a seam of 320 mm without securing", "closed form", 320.0, 1e-9)
def sewn_length() -> float:
    return place(runs_of([(0, 0), (320, 0)]), TAILS).stitched_mm


@outside(
    "stitches",
    "inches of 1/3 in as a written fraction, in mm",
    "arithmetic: 25.4 / 3",
    MM_PER_INCH / 3,
    1e-12,
)
def third() -> float:
    return parse_length("⅓ in")
