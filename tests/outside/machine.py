"""Passes and hoopings: their files put back where the report says, and a room of one's own size."""

from __future__ import annotations

import io
import itertools
import math
from functools import cache
from typing import Any

import ezdxf
import numpy as np
import shapely
from shapely.geometry import LineString

from tests.outside.check import outside
from tests.outside.gap import AS_GIVEN, layer
from tests.outside.job import (
    files,
    guide,
    needle_holes,
    pattern_in,
    project,
    straight,
    threads,
    told,
)

LINES = straight(40)
HOOPED = project(500, 250, AS_GIVEN + LINES + '[machine]\nprofile = "hoop-200x300"\n')
CURVES = layer("waves", "spacing = 50\nwave = 200\nheight = 20")
FRAMED = project(1400, 700, AS_GIVEN + CURVES + '[machine]\nprofile = "longarm-small"\n')
PLAIN_FRAMED = project(1400, 700, AS_GIVEN + '[sewing]\npolicy = "continuous"\n' + CURVES)
FIELD, THROAT = (200.0, 300.0), 300.0


def parts(text: str) -> list[Any]:
    return list(told(text)["machine"]["parts"])


@cache
def holes_in_place(text: str) -> list[np.ndarray]:
    """Needle holes of each part's DST, moved and turned to where the report has it."""
    made, found = files("machine files", text), []
    for part in parts(text):
        read = needle_holes(made[f"machine/{part['name']}.dst"], "dst")
        middle = (read.max(axis=0) + read.min(axis=0)) / 2
        turned = (read - middle) @ np.array([[0, -1], [1, 0]]) if part["turned"] else read - middle
        found.append(turned + part["centre_mm"])
    return found


@outside(
    "machine",
    "hoop of 200 by 300 on 500 by 250: hoopings, mm by which stitches of a file reach beyond, and"
    " whether stitches of neighbours overlap by one at the least and by the 12 mm asked at most",
    "arithmetic: two fields reach 388 with 12 of overlap, three 576; one way across; a stitch is"
    " sewn twice; the hoop's own size, pyembroidery's reader",
    (3.0, 0.0, 1),
)
def hoopings() -> tuple[float, ...]:
    made = files("machine files", HOOPED)
    over = 0.0
    for name in made:
        if name.endswith(".dst"):
            read = needle_holes(made[name], "dst")
            over = max(over, *(np.sort(np.ptp(read, axis=0)) - np.sort(FIELD)))
    return float(len(parts(HOOPED))), over, overlap()


@outside(
    "machine",
    "hoopings put back in their places: farthest that a line of the whole is from a needle hole",
    "pyembroidery, ezdxf; half a stitch and what a file rounds to",
    1.7,
    0.4,
)
def hoopings_cover() -> float:
    whole = threads(project(500, 250, AS_GIVEN + LINES))
    low = shapely.total_bounds(np.array(whole, dtype=object))[:2]
    sewn = np.concatenate(holes_in_place(HOOPED))
    moved = [shapely.transform(line, lambda xy: xy - low) for line in whole]
    points = np.concatenate([np.array(line.segmentize(0.5).coords) for line in moved])
    tree = shapely.STRtree(shapely.points(sewn - sewn.min(axis=0)))
    return float(tree.query_nearest(shapely.points(points), return_distance=True)[1].max())


@outside(
    "machine",
    "hoopings of slanted lines put back: needle holes off the lines of the whole, in mm",
    "pyembroidery, ezdxf, GEOS; a tenth that a file rounds to",
    0.0,
    0.15,
)
def hoopings_on_lines() -> float:
    slanted = straight(40, "angle = 30\n")
    hooped = project(500, 250, AS_GIVEN + slanted + '[machine]\nprofile = "hoop-200x300"\n')
    sewn = np.concatenate(holes_in_place(hooped))
    whole = np.array(threads(project(500, 250, AS_GIVEN + slanted)), dtype=object)
    placed = sewn - sewn.min(axis=0) + shapely.total_bounds(whole)[:2]
    return float(shapely.distance(shapely.points(placed), shapely.union_all(whole)).max())


def overlap() -> int:
    spans = sorted((each[:, 0].min(), each[:, 0].max()) for each in holes_in_place(HOOPED))
    shared = [one[1] - two[0] for one, two in itertools.pairwise(spans)]
    return int(min(shared) >= 2.5 and max(shared) <= 12.5)


@outside(
    "machine",
    "stitches of the hoopings' files less those the report tells",
    "pyembroidery's reader; a thread's first hole is no stitch",
    0,
)
def stitches_of_parts() -> int:
    made, apart = files("machine files", HOOPED), 0
    for part in parts(HOOPED):
        commands = [
            r[2] & 0xFF for r in pattern_in(made[f"machine/{part['name']}.dst"], "dst").stitches
        ]
        apart += commands.count(0) - part["starts"] - part["stitches"]
    return apart


@cache
def passes_in_place() -> list[list[LineString]]:
    """Lines of each pass's DXF, moved to where the report has it."""
    made, found = files("machine files", FRAMED), []
    for part in parts(FRAMED):
        content = made[f"machine/{part['name']}.dxf"].decode("ascii")
        read = ezdxf.read(io.StringIO(content)).modelspace().query("LWPOLYLINE")
        lines = [LineString([point[:2] for point in line.get_points()]) for line in read]
        low_x, low_y, high_x, high_y = shapely.total_bounds(np.array(lines, dtype=object))
        by = np.array(part["centre_mm"]) - ((low_x + high_x) / 2, (low_y + high_y) / 2)
        found.append([shapely.transform(line, lambda xy, by=by: xy + by) for line in lines])
    return found


@outside(
    "machine",
    "frame with a throat of 300 mm on 700: passes, and mm by which lines of a file reach beyond",
    "arithmetic: 700 / 300, rounded up; the machine's own size; ezdxf",
    (float(math.ceil(700 / THROAT)), 0.0),
)
def passes() -> tuple[float, ...]:
    over = 0.0
    for lines in passes_in_place():
        low, high = shapely.total_bounds(np.array(lines, dtype=object))[1::2]
        over = max(over, float(high - low) - THROAT)
    return float(len(parts(FRAMED))), over


@outside(
    "machine",
    "waves in passes put back: length of the waves that no pass sews",
    "GEOS: the whole's lines less all that lies within 0.2 mm of a pass; ezdxf",
    0.0,
    1.0,
)
def passes_cover() -> float:
    sewn = shapely.buffer(shapely.union_all(np.concatenate(passes_in_place())), 0.2)
    whole = shapely.union_all(waves())
    return float(whole.difference(sewn).length)


def waves() -> list[LineString]:
    """The waves as the guide draws them, from the lower left corner of the flat top."""
    (edge,) = guide(PLAIN_FRAMED, "outline")
    low_x, _, _, high_y = edge.bounds
    return [
        shapely.transform(line, lambda xy: (xy - (low_x, high_y)) * (1, -1))
        for line in guide(PLAIN_FRAMED, "layer-1-waves")
    ]


@outside(
    "machine",
    "waves in passes: whether any is sewn by two passes",
    "common practice: a line is one pass's; GEOS: where passes share more than a stitch's length",
    0.0,
    7.0,
)
def sewn_once() -> float:
    whole = shapely.buffer(shapely.union_all(waves()), 0.2)
    each = [shapely.union_all(lines).intersection(whole) for lines in passes_in_place()]
    shared = 0.0
    for one, other in itertools.pairwise(each):
        shared += float(one.intersection(shapely.buffer(other, 0.2)).length)
    return shared


@outside(
    "machine",
    "frame: starts told of the passes less those of their DXF files",
    "ezdxf counts polylines",
    0,
)
def starts_of_passes() -> int:
    return sum(part["starts"] - len(lines) for part, lines in zip(
        parts(FRAMED), passes_in_place(), strict=True))  # fmt: skip


@outside(
    "machine",
    "files for a hoop under the names of old readers: names with more than 8 and 3 letters",
    "old readers take 8 letters, a dot and 3 (common practice)",
    0,
)
def short_names() -> int:
    asked = '[machine]\nprofile = "hoop-130x180"\nnames = "8.3"\nformats = ["dst"]\n'
    made = files("machine files", project(300, 100, AS_GIVEN + LINES + asked))
    names = [name.rpartition("/")[2] for name in made if name.upper().endswith(".DST")]
    assert names
    return sum(len(n.partition(".")[0]) > 8 or len(n.partition(".")[2]) > 3 for n in names)


@outside(
    "machine",
    "placement sheets: size that is told of each hooping less that of its stitches, mm",
    "pyembroidery's reader",
    0.0,
    0.2,
)
def sizes_told() -> float:
    made = files("machine files", HOOPED)
    return max(
        float(
            np.abs(
                np.ptp(needle_holes(made[f"machine/{p['name']}.dst"], "dst"), axis=0) - p["size_mm"]
            ).max()
        )
        for p in parts(HOOPED)
    )


@outside(
    "machine",
    "guide bar: setting told for each line, less the way to a line that the DXF has sewn before",
    "ezdxf; common practice: the bar rides on a line that is sewn",
    0.0,
    0.02,
)
def guide_bar() -> float:
    text = project(900, 300, AS_GIVEN + LINES)
    levels = [line.coords[0][1] for line in threads(text)]
    steps = told(text)["sewing"]["guide_bar"][0]["steps"]
    low = min(step["enters_mm"][1] for step in steps) - min(levels)
    apart = []
    for step in (step for step in steps if step["setting_mm"] is not None):
        at = step["enters_mm"][1] - low
        sewn = levels[: int(np.argmin(np.abs(np.array(levels) - at)))]
        apart.append(min(abs(abs(at - other) - step["setting_mm"]) for other in sewn))
    assert len(apart) > 4
    return max(apart)


@outside(
    "machine",
    "lines along: those to count in a section, less the DXF's lines that cross its middle",
    "GEOS counts where the section's middle line is crossed",
    0,
)
def to_count() -> int:
    text = project(900, 300, AS_GIVEN + LINES)
    counted = told(text)["sewing"]["to_count"]
    lines = threads(text)
    length = shapely.total_bounds(np.array(lines, dtype=object))[2]
    apart = 0
    for n, section in enumerate(counted):
        x = length * (n + 0.5) / len(counted)
        cut = LineString([(x, -100), (x, 400)])
        apart += abs(section["lines"] - sum(line.intersects(cut) for line in lines))
    return apart
