"""Thread and time as the report tells them: the lockstitch of ISO 4915, type 301, and a clock."""

from __future__ import annotations

import io
import itertools
import math
from typing import Any

import ezdxf
import numpy as np
import shapely
from shapely.geometry import LineString

from tests.outside.check import outside
from tests.outside.gap import AS_GIVEN, layer
from tests.outside.job import (
    holes,
    machine_file,
    pattern_in,
    project,
    sewn_mm,
    straight,
    threads,
    told,
)
from tests.outside.stitches import SQUARE, seam

DAS = "A. K. Das, textilecalculation.blogspot.com, 2015"
LONG = 10_000.0
"""A seam of 10 m, in mm, so that metres told to the centimetre are told finely enough."""


def for_a_seam(thread: str, stitch: str = "", length: float = LONG) -> Any:
    """The report's thread for one straight seam, without wastage."""
    return told(seam(length, stitch) + f"[thread]\nwastage = 0\n{thread}\n")["thread"]


def both(thread: str, stitch: str = "") -> float:
    """Needle and bobbin thread together for one unit of seam."""
    found = for_a_seam(thread, stitch)
    return float((found["needle_m"] + found["bobbin_m"]) * 1000 / LONG)


@outside(
    "thread",
    "C = 2 + 2 T S: 0.01 in thick at 10 stitches to the inch, 0.5 mm at 0.3 to the mm, and the"
    " thickness of the usual 1 : 2.5 at 3.2 mm",
    DAS + "; textileblog.com, sewing thread consumption guide; apparelscience.com, stitch classes"
    " 300-400: T = (2.5 - 2) / 2 S",
    (2.2, 2.3, 2.5),
    0.002,
)
def formula() -> tuple[float, ...]:
    return (
        both('thickness = "0.01 in"', 'length = "1/10 in"\nshortest = 2.4'),
        both("thickness = 0.5", "length = 3.3333"),
        both("thickness = 0.8"),
    )


@outside(
    "thread",
    "220 cm of seam at 2.5: cm of thread",
    "melgeecrafts.com, how do you calculate thread consumption",
    550.0,
    1.1,
)
def seam_of_220_cm() -> float:
    found = for_a_seam("needle_factor = 1.25\nbobbin_factor = 1.25", length=2200)
    return float(found["needle_m"] + found["bobbin_m"]) * 100


@outside(
    "thread",
    "share of the needle in a well-set 301",
    "apparelscience.com, stitch classes 300-400: split evenly",
    0.5,
    1e-4,
)
def even_split() -> float:
    found = for_a_seam("thickness = 1.8")
    return float(found["needle_m"] / (found["needle_m"] + found["bobbin_m"]))


@outside(
    "thread",
    "10 m of seam of which 10 cm, unpicked, gave 13 cm of needle thread: m of it",
    "arithmetic: 13 for 10",
    13.0,
    0.01,
)
def measured_factor() -> float:
    return float(for_a_seam("needle_factor = 1.3\nbobbin_factor = 1.2")["needle_m"])


@outside(
    "thread",
    "wastage of 15 percent: needle thread over that without",
    "apparelscience.com, measuring thread consumption: 10 to 15 percent are added",
    1.15,
    0.001,
)
def wastage() -> float:
    more = told(seam(LONG) + "[thread]\nwastage = 0.15\n")["thread"]
    return float(more["needle_m"] / for_a_seam("")["needle_m"])


DENSE = project(1800, 400, AS_GIVEN + straight(6))


@outside(
    "thread",
    "lines 6 mm apart on 1800 by 400: bobbins of 60 m wound, too many or too few",
    "arithmetic: bobbin thread / 60, rounded up",
    0,
)
def bobbins() -> int:
    found = told(DENSE)["thread"]
    return int(found["bobbins"] - math.ceil(found["bobbin_m"] / 60))


@outside(
    "thread",
    "closer stitches take more thread: sign of the change from 3.5 to 3.0 mm",
    "Chauhan and Ghosh, Indian J. Fibre & Textile Research; Malek et al., Autex 20 (4), 2020",
    1,
)
def density_counts() -> int:
    closer, wider = both("", "length = 3.0"), both("", "length = 3.5")
    return (closer > wider) - (closer < wider)


INSIDE = "[grid]\nalong = 1\nouter_sashing = 50\n" + layer(
    "straight", 'spacing = 40\nregion = "blocks"'
)


@outside(
    "thread",
    "tails of 100 mm of both threads at both ends of each line: m told over those counted",
    "common practice: tails of about 100 mm to bury, each thread; ezdxf counts the starts",
    1.0,
    0.02,
)
def tails() -> float:
    text = project(420, 420, AS_GIVEN + '[stitch]\nsecuring = "tails"\n' + INSIDE)
    return float(told(text)["thread"]["tails_m"] / (0.1 * 2 * 2 * len(threads(text))))


@outside(
    "thread",
    "metres of line told by the report over those of the DXF",
    "ezdxf, GEOS: its lines' length",
    1.0,
    0.001,
)
def metres_of_line() -> float:
    text = project(900, 300, AS_GIVEN + layer("grid", "spacing = 50\nangles = [45, 135]"))
    return float(told(text)["stitching"]["stitched_mm"] / sewn_mm(threads(text)))


@outside(
    "thread",
    "stitches told by the report less those of the DST",
    "pyembroidery's reader; a start's first hole is no stitch",
    0,
)
def stitches_told() -> int:
    text = project(900, 300, AS_GIVEN + layer("grid", "spacing = 50\nangles = [45, 135]"))
    pattern = pattern_in(machine_file(text, "dst"), "dst")
    sewn = sum(row[2] & 0xFF == 0 for row in pattern.stitches) - len(threads(text))
    return int(told(text)["stitching"]["stitch_count"] - sewn)


LINES = project(1800, 400, AS_GIVEN + straight(40))
BOX_STEPS = project(
    1800, 400, AS_GIVEN + '[[quilting]]\nkind = "square-spiral"\nregion = "runner"\nspacing = 40\n'
)


def corners_in(line: LineString) -> int:
    """Turns of more than 30 degrees, an angle between steps of the polyline."""
    way = np.diff(shapely.get_coordinates(line), axis=0)
    heading = np.arctan2(way[:, 1], way[:, 0])
    turn = np.abs(np.angle(np.exp(1j * np.diff(heading))))
    return int((turn > math.radians(30)).sum())


@outside(
    "thread",
    "lines along a runner, then round and round: minutes told less those counted in the files",
    "arithmetic: stitches of the file / 600, 15 s a start and stop, 2 s a corner (common"
    " practice); pyembroidery, ezdxf",
    (0.0, 0.0),
    0.1,
)
def minutes() -> tuple[float, ...]:
    apart = []
    for text in (LINES, BOX_STEPS):
        starts = len(threads(text))
        stitches = len(holes(text)) - starts
        corners = sum(map(corners_in, threads(text)))
        counted = stitches / 600 + 15 * starts / 60 + 2 * corners / 60
        apart.append(float(told(text)["time"]["sewing_min"] - counted))
    return tuple(apart)


@outside(
    "thread",
    "the same: minutes told for changing bobbins less those counted",
    "common practice: two minutes each; the first is in before it begins",
    0.0,
    0.01,
)
def bobbin_changes() -> float:
    found = told(DENSE)
    changes = math.ceil(found["thread"]["bobbin_m"] / 60) - 1
    return float(found["time"]["bobbin_changes_min"] - 2.0 * changes)


@outside(
    "thread",
    "a square sewn round: minutes for its corners",
    "counting: three turns from side to side, 2 s each (common practice)",
    3 * 2 / 60,
    0.01,
)
def pivots() -> float:
    text = project(200, 200, AS_GIVEN + SQUARE)
    return float(told(text)["time"]["pivots_min"])


@outside(
    "thread",
    "carried from line to line, told by the report over the DXF's gaps from end to start",
    "Euclid; ezdxf",
    1.0,
    0.001,
)
def carried() -> float:
    path = ezdxf.read(io.StringIO(machine_file(LINES, "dxf").decode("ascii")))
    ends = [
        np.array([point[:2] for point in line.get_points()])[[0, -1]]
        for line in path.modelspace().query("LWPOLYLINE")
    ]
    way = sum(math.dist(one[1], other[0]) for one, other in itertools.pairwise(ends))
    return float(told(LINES)["stitching"]["travel_mm"] / way)


@outside(
    "thread",
    "the same: spools of 200 m to buy, too many or too few",
    "arithmetic: needle and bobbin thread / 200, rounded up",
    0,
)
def spools() -> int:
    found = told(DENSE)
    metres = found["thread"]["needle_m"] + found["thread"]["bobbin_m"]
    row = next(row for row in found["cutting"]["shopping"] if "thread" in row["name"])
    return int(row["buy"] - math.ceil(metres / 200)) if "buy" in row else -99
