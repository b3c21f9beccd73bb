"""Backing, wadding, sashing, basting and drawing up, out of the report."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np

from tests.outside.check import outside
from tests.outside.gap import AS_GIVEN
from tests.outside.job import IN, project, puffed, straight, told
from tests.outside.lines import LEAN_DEG, leaning_panel

QUILT_MATH = "susanintexas.blogspot.com, quilt math, 2009"
BARE = '[backing]\nextra = "0 in"\nseam = "{}"\nclear = "0 in"\n'
CLOTH = '[[cloth]]\nname = "blue"\nuse = "backing"\nwidth = "{} in"\n'


def backing(length: str, width: str, seam: str, cloth_in: float) -> Any:
    """What the report says of a backing as large as the top."""
    more = BARE.format(seam) + CLOTH.format(cloth_in) + straight(100)
    return told(project(length, width, more))["cutting"]["backing"]


@outside(
    "cloth",
    "backing of 80 x 56 in from 40 in cloth, nothing added, as the source reckons: inches, widths",
    "quiltingboard.com, mathematically challenged",
    (112.0, 2.0),
    0.01,
)
def across_the_cloth() -> tuple[float, ...]:
    found = backing("80 in", "56 in", "0 in", 40)
    return found["cloth_mm"] / IN, float(found["widths"])


@outside(
    "cloth",
    "backing 82.9 in and 83.1 in wide from two widths of 42 in cloth, 1/2 in seams",
    "quiltingboard.com, need some measuring help: two give about 83",
    "two do, two do not",
)
def joined() -> str:
    ways = [backing("130 in", width, "1/2 in", 42) for width in ("82.9 in", "83.1 in")]
    lengthwise = (way["grain_along_runner"] and way["widths"] == 2 for way in ways)
    return ", ".join("two do" if does else "two do not" for does in lengthwise)


PLAIN = project(1800, 400, AS_GIVEN + straight(40))


@outside(
    "cloth",
    "backing, then wadding larger than the top, inches in all over length and over width",
    "common practice: 4 in all round, so 8; 3 in all round, so 6",
    (8.0, 8.0, 6.0, 6.0),
    0.01,
)
def larger_than_the_top() -> tuple[float, ...]:
    found = told(PLAIN)["cutting"]
    return tuple(
        (found[layer][side] - found["top"][side]) / IN
        for layer in ("backing", "wadding")
        for side in ("length_mm", "width_mm")
    )


@outside(
    "cloth",
    "pieces of the backing laid out, their areas over the cloth used: more cannot lie on it",
    "arithmetic: area of the pieces and of the waste that is told",
    1.0,
    0.005,
)
def packed() -> float:
    layout = next(e for e in told(PLAIN)["cutting"]["layouts"] if e["cloth"] == "backing")
    pieces = sum(p["pieces"] * p["on_width_mm"] * p["on_length_mm"] for p in layout["pieces"])
    area = layout["width_mm"] * layout["length_mm"]
    return float(pieces / area + layout["waste_share"])


GRID = """[grid]
along = 5
across = 4
block = "6 in"
sashing = "2 in"
outer_sashing = "2 in"
cornerstones = true
"""
PIECED = (
    'runner = { length = "42 in", width = "34 in", size_is = "flat" }\n'
    + GRID + '[top]\nmade = "pieced"\n' + straight("4 in")
)  # fmt: skip


def to_cut(*kinds: str) -> int:
    """Pieces of some kinds that the report has cut for 4 rows and 5 columns."""
    cuts = told(PIECED)["cutting"]["top"]["cuts"]
    return int(sum(cut["count"] for cut in cuts if cut["kind"] in kinds))


@outside(
    "cloth",
    "4 rows and 5 columns: cornerstones, sashing strips, blocks",
    QUILT_MATH + ": (n + 1)(m + 1); (n + 1) m + (m + 1) n; n m",
    (30, 49, 20),
)
def pieces_to_cut() -> tuple[float, ...]:
    return to_cut("cornerstone"), to_cut("sashing", "outer sashing"), to_cut("block")


@outside(
    "cloth",
    "cut sides of a block of 6 in, along and across, and of sashing of 2 in, inches",
    "quilting.about.com: seams take 1/2 in",
    (6.5, 6.5, 2.5),
    0.001,
)
def cut_sides() -> tuple[float, ...]:
    cuts = told(PIECED)["cutting"]["top"]["cuts"]
    block = next(cut for cut in cuts if cut["kind"] == "block")
    strip = next(cut for cut in cuts if cut["kind"] == "sashing")
    sides = block["along_mm"], block["across_mm"], min(strip["along_mm"], strip["across_mm"])
    return tuple(side / IN for side in sides)


@outside(
    "cloth",
    "a row of units sewn side to side: cut sides less half an inch a join, inches",
    "arithmetic: the runner's 42 in, with nothing left over",
    42.0,
    0.03,
)
def sewn_together() -> float:
    top = told(PIECED)["cutting"]["top"]
    along = {cut["letter"]: cut["along_mm"] for cut in top["cuts"]}
    letters = top["pieced"]["units"][0]["letters"]
    return float(sum(along[letter] for letter in letters) / IN - 0.5 * (len(letters) - 1))


PANELS = """[[panel]]
name = "printed panel"
size = ["40 in", "17 in"]
printed = ["38 in", "15 in"]
end_strip = "2 in"
count = 2
[grid]
along = 6
block = ["10 in", "12 in"]
sashing = "2 in"
outer_sashing = "1 in"
"""


@outside(
    "cloth",
    "end strip left for a 2 in sashing at the panel join, inches, left panel and right",
    "common practice: half the sashing and one seam",
    (1.25, 1.25),
    0.001,
)
def end_strip() -> tuple[float, ...]:
    head = 'runner = { length = "72 in", width = "14 in", panel_join = "centre" }\n'
    (panel,) = told(head + PANELS + straight("40 mm"))["cutting"]["panels"]
    return tuple(cut["offset_mm"] / IN for cut in panel["trims"] if "join" in cut["where"])


@outside(
    "cloth",
    "panel of 1800 by 400 measured over its diagonals, and a 3-4-5 panel: degrees they lean right",
    "law of the parallelogram: difference of the squares of its diagonals, 4 a b sin; Pythagoras",
    (LEAN_DEG, 0.0),
    0.01,
)
def lean_told() -> tuple[float, ...]:
    measured = (
        "[grid]\nalong = 4\n[print]\nlengths = [400, 400, 400]\n"
        "widths = [300, 300, 300]\ndiagonals = [500, 500]\n"
    )
    square = project(400, 300, AS_GIVEN + measured + straight(100))
    leans = (told(text)["cutting"]["off_square"]["lean_deg"] for text in (leaning_panel(), square))
    return tuple(float(lean) for lean in leans)


@outside(
    "cloth",
    "pins on 72 x 14 in, a hand's width apart",
    "common practice: no more than 4 in; 18 x 4",
    72,
)
def pinned() -> int:
    text = project("72 in", "14 in", AS_GIVEN + straight(40))
    return int(told(text)["cutting"]["basting"]["pins"])


@outside(
    "cloth",
    "sections sprayed on 72 in",
    "common practice: half at a time, about 20 in at a go; 2 x 2",
    4,
)
def sprayed() -> int:
    spray = '[basting]\nmethod = "spray"\n'
    text = project("72 in", "14 in", AS_GIVEN + spray + straight(40))
    return len(told(text)["cutting"]["basting"]["sections_mm"])


@outside(
    "cloth",
    "drawn up by lines 2 in and 1/2 in apart, percent",
    "common practice: 1 to 3 percent, from sparse to dense",
    (1.0, 3.0),
    0.15,
)
def drawn_up() -> tuple[float, ...]:
    found = []
    for spacing in (2.0, 0.5):
        text = project(2000, 500, straight(spacing * IN))
        found.append(100 * told(text)["cutting"]["top"]["quilting_share"])
    return tuple(found)


@outside(
    "cloth",
    "lines like those of a sample of 12 in that measured 11 3/4 afterwards: share drawn up",
    "arithmetic: 1/4 in 12",
    1 / 48,
    0.0002,
)
def sample() -> float:
    sides = 'before = ["12 in", "12 in"]\nquilted = ["11.75 in", "11.75 in"]\n'
    swatch = "[[swatch]]\nspacing = 25\n" + sides
    found = told(project(2000, 500, swatch + straight(25, 'anchor = "halfway"\n')))["states"]
    return float(1 - found["quilted"]["width_mm"] / found["flat"]["width_mm"])


@outside(
    "cloth",
    "backing to buy, over what is needed: yards in eighths and metres in tenths, not one too many",
    "arithmetic: 36 in a yard, 39.37 in a metre",
    "enough, enough",
)
def bought() -> str:
    row = next(e for e in told(PLAIN)["cutting"]["shopping"] if e["name"] == "backing")
    yards, metres = row["need"] / 914.4, row["need"] / 1000
    said = [0 <= row["buy_yd"] - yards < 0.125 + 0.006, 0 <= row["buy_m"] - metres < 0.1]
    return ", ".join("enough" if each else "not so" for each in said)


@outside(
    "cloth",
    "lines like those of a sample that stood 3 mm high between its own: height in mm",
    "the same wadding and lines puff the same: what was measured",
    3.0,
    0.1,
)
def puff_of_a_sample() -> float:
    swatch = "[[swatch]]\nspacing = 25\nbefore = [300, 300]\nquilted = [295, 295]\npuff = 3\n"
    found = puffed(project(500, 300, swatch + straight(25, 'anchor = "halfway"\n')))
    return float(found["puff"]["middle_mm"])


@outside(
    "cloth",
    "closer lines hold the wadding lower: signs from 50 to 25 and to 12 mm apart",
    "common practice: dense quilting lies flat",
    (-1, -1),
)
def closer_is_lower() -> tuple[float, ...]:
    high = [puffed(project(500, 300, straight(s)))["puff"]["middle_mm"] for s in (50, 25, 12)]
    return tuple((other > one) - (other < one) for one, other in itertools.pairwise(high))


TIMOSHENKO = "Timoshenko 1925, Analysis of bi-metal thermostats: 3/2 x strain / thickness"
HALVES = "[grid]\nalong = 1\nacross = 2\n"


@outside(
    "cloth",
    "runner of 2000 by 400 whose upper half is quilted closer: bow of its edges in mm, over theory",
    TIMOSHENKO + "; shares drawn up as told of runners that are all of one and all of the other",
    1.0,
    0.15,
)
def bow_of_a_one_sided_runner() -> float:
    close, wide = (straight(s, 'region = "{}"\nanchor = "halfway"\n') for s in (8, 40))
    both = HALVES + close.format("A1") + wide.format("A2")
    told_of = [told(project(2000, 400, HALVES + e.format("blocks"))) for e in (close, wide)]
    strain = np.subtract(*(each["distortion"]["draw_up_share"][0] for each in told_of))
    found = told(project(2000, 400, both))["distortion"]["widths"]["bows_out_mm"]
    radius = 400 / (1.5 * abs(strain))
    return float(np.mean(np.abs(list(found.values()))) / (2000**2 / 8 / radius))
