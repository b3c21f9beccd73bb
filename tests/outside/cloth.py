"""Backing, wadding, sashing, basting, drawing up."""

from __future__ import annotations

import numpy as np

from quiltpath.checks.plane_stress import ElasticSheet, PlaneStress
from quiltpath.geometry.runner_shapes import RegionKind
from quiltpath.materials import Cloth, LayerSetting
from quiltpath.materials.basting import baste, herringbone
from quiltpath.materials.draw_up import quilting_share, shares_taken_up
from quiltpath.materials.layers import TopPlace, layer_size
from quiltpath.materials.pieced_top import cut_mm, pieced_cuts
from quiltpath.materials.piecing import LayerSize, piecings
from quiltpath.project import parse
from quiltpath.project.materials_sections import BastingSection, SwatchSection
from quiltpath.runner import build
from quiltpath.runner.panels import inner_trim_mm
from quiltpath.units import MM_PER_INCH as IN
from quiltpath.units import eighths_of_a_yard, tenths_of_a_metre
from tests.outside.check import outside

TIMOSHENKO = "Timoshenko 1925, Analysis of bi-metal thermostats: 3/2 x strain / thickness"
QUILT_MATH = "susanintexas.blogspot.com, quilt math, 2009"
GRID = """
[runner]
length = "42 in"
width = "34 in"
[grid]
along = 5
across = 4
block = "6 in"
sashing = "2 in"
outer_sashing = "2 in"
cornerstones = true
"""


@outside(
    "cloth",
    "backing of 80 x 56 in from 40 in cloth, seam across: inches",
    "quiltingboard.com, mathematically challenged",
    112.0,
    1e-6,
)
def across_the_cloth() -> float:
    best = piecings(LayerSize(0, 0, 80 * IN, 56 * IN), Cloth("backing", 40 * IN), 0.0)[0]
    return best.cloth_mm / IN


@outside(
    "cloth",
    "backing of 80 x 56 in from 40 in cloth: widths",
    "quiltingboard.com, mathematically challenged",
    2,
)
def widths() -> int:
    return piecings(LayerSize(0, 0, 80 * IN, 56 * IN), Cloth("backing", 40 * IN), 0.0)[0].widths


@outside(
    "cloth",
    "widest backing of two 42 in widths with 1/2 in seams: inches",
    "quiltingboard.com, need some measuring help: about 83",
    83.0,
    1e-9,
)
def joined() -> float:
    cloth = Cloth("backing", 42 * IN)

    def widths(eighths: int) -> int:
        ways = piecings(LayerSize(0, 0, 67.5 * IN, eighths / 8 * IN), cloth, IN / 2)
        return min(way.widths for way in ways if way.axis == 1)

    return max(eighths for eighths in range(80 * 8, 88 * 8) if widths(eighths) == 2) / 8


@outside(
    "cloth",
    "backing larger than the top all round, inches over its length",
    "common practice: 4 in",
    8.0,
    1e-9,
)
def backing() -> float:
    setting = LayerSetting(4 * IN, 4 * IN, Cloth("backing"))
    return (layer_size(TopPlace(72 * IN, 14 * IN), setting).length_mm - 72 * IN) / IN


def to_cut(*kinds: RegionKind) -> int:
    """Pieces of some kinds that are cut for the runner of 4 rows and 5 columns."""
    cuts = pieced_cuts(build(parse(GRID)).regions, IN / 4)
    return sum(cut.count for cut in cuts if cut.kind in kinds)


@outside("cloth", "cornerstones of 4 rows and 5 columns", QUILT_MATH + ": (n + 1)(m + 1)", 30)
def cornerstones() -> int:
    return to_cut(RegionKind.CORNERSTONE)


@outside(
    "cloth", "sashing strips of 4 rows and 5 columns", QUILT_MATH + ": (n + 1) m + (m + 1) n", 49
)
def strips() -> int:
    return to_cut(RegionKind.SASHING, RegionKind.OUTER_SASHING)


@outside("cloth", "cornerstones drawn on a runner of 4 rows and 5 columns", QUILT_MATH, 30)
def cornerstones_drawn() -> int:
    kinds = [region.kind for region in build(parse(GRID)).regions]
    return kinds.count(RegionKind.CORNERSTONE)


@outside("cloth", "blocks drawn on a runner of 4 rows and 5 columns", "arithmetic", 20)
def blocks_drawn() -> int:
    return [region.kind for region in build(parse(GRID)).regions].count(RegionKind.BLOCK)


@outside(
    "cloth", "cut width of 3 in sashing, inches", "quilting.about.com: seams take 1/2 in", 3.5, 1e-9
)
def cut_sashing() -> float:
    return cut_mm(3 * IN, IN / 4) / IN


@outside(
    "cloth",
    "end strip left for a 2 in sashing at the panel join, inches",
    "common practice: half the sashing and one seam",
    1.25,
    1e-9,
)
def end_strip() -> float:
    return inner_trim_mm(2 * IN, IN / 4) / IN


@outside(
    "cloth",
    "pins on 72 x 14 in, a hand's width apart",
    "common practice: no more than 4 in; 18 x 4",
    72,
)
def pinned() -> int:
    pins = baste(72 * IN, 14 * IN, 0.0, BastingSection()).pins
    return pins.count if pins else 0


@outside(
    "cloth",
    "sections sprayed on 72 in",
    "common practice: half at a time, about 20 in at a go; 2 x 2",
    4,
)
def sprayed() -> int:
    return len(baste(72 * IN, 14 * IN, 0.0, BastingSection(method="spray")).sections_mm)


@outside(
    "cloth",
    "herringbone stitches over a 14 in join, 1/2 in apart",
    "arithmetic: 28 gaps, 29 stitches",
    29,
)
def herringboned() -> int:
    return herringbone(14 * IN).stitches


@outside(
    "cloth",
    "drawn up by lines 2 in apart",
    "common practice: 1 to 3 percent, the sparse end",
    0.01,
    1e-9,
)
def sparse() -> float:
    return quilting_share(20.0)


@outside(
    "cloth",
    "drawn up by lines 1/2 in apart",
    "common practice: 1 to 3 percent, the dense end",
    0.03,
    1e-9,
)
def dense() -> float:
    return quilting_share(80.0)


@outside(
    "cloth",
    "sample of 12 in that measures 11 3/4 afterwards",
    "arithmetic: 1/4 in 12",
    1 / 48,
    1e-12,
)
def sample() -> float:
    swatch = SwatchSection(spacing=25, before=(12 * IN, 300), quilted=(11.75 * IN, 300))
    return float(shares_taken_up(swatch)[0])


@outside("cloth", "yards to buy for 112 in", "arithmetic: 3.11, up to the eighth", 3.125, 1e-12)
def yards() -> float:
    return eighths_of_a_yard(112 * IN)


@outside("cloth", "metres to buy for 112 in", "arithmetic: 2.845, up to the tenth", 2.9, 1e-12)
def metres() -> float:
    return tenths_of_a_metre(112 * IN)


@outside(
    "cloth",
    "runner 400 mm wide, half drawn up by 2 percent more: radius of its bow in m",
    TIMOSHENKO,
    0.4 / (1.5 * 0.02),
    0.15,
)
def bow_of_a_one_sided_runner() -> float:
    strip = ElasticSheet(np.zeros(2), np.full(2, 25.0), np.ones((16, 80)))
    shares = np.where(np.arange(16) < 8, 0.03, 0.01)[:, None] * np.ones(80)
    points = np.array([[700.0, 200.0], [1000.0, 200.0], [1300.0, 200.0]])
    low, middle, high = PlaneStress(strip).displaced(shares).at(points)[:, 1]
    return float(300.0**2 / abs(low - 2 * middle + high) / 1000)
