"""Whole jobs: a project file in, the finished set read back by somebody else's reader."""

from __future__ import annotations

import io
import json
import math
from functools import cache
from typing import Any

import ezdxf
import numpy as np
import pdfplumber
import pyembroidery
import shapely
from shapely.geometry import LineString, box

from quiltpath.jobs.make import outputs
from quiltpath.patterns.lines import layer_lines
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.routing import policy_named, route
from tests.outside.check import outside

IN, POINT = 25.4, 25.4 / 72
LENGTH, WIDTH = 1800.0, 400.0
PLAIN = f"""title = "Galley"
units = "mm"
[runner]
length = {LENGTH:g}
width = {WIDTH:g}
[quilted]
taken_up = 0
[machine]
formats = ["dst", "dxf"]
"""
SQUARE_MM = 60.0
MOTIF = """[[motif]]
name = "tile"
outline = [[0, 0], [60, 0], [60, 60], [0, 60]]
at = [900, 200]
"""
LINES = """[[quilting]]
kind = "straight"
spacing = 40
"""
BOX_STEPS = """[[quilting]]
kind = "square-spiral"
region = "runner"
spacing = 40
"""


@cache
def made(more: str) -> dict[str, bytes]:
    """The files of the plain runner with some further tables."""
    project = parse(PLAIN + more)
    return {file.name: file.content for file in outputs(compute(project))}


@cache
def report(more: str) -> Any:
    return json.loads(made(more)["report.json"])


@cache
def polylines(more: str) -> list[LineString]:
    """What the DXF holds, one line a start of thread, as ezdxf reads it."""
    drawing = ezdxf.read(io.StringIO(made(more)["runner.dxf"].decode("ascii")))
    found = drawing.modelspace().query("LWPOLYLINE")
    return [LineString([point[:2] for point in line.get_points()]) for line in found]


@outside(
    "whole jobs",
    "clearance of 10 mm asked: from a motif of 60 by 60 to the nearest line of the DXF",
    "Euclid: distance from the square that is sewn round; ezdxf",
    10.0,
    0.06,
)
def clearance() -> float:
    motif = '[[quilting]]\nkind = "motif"\noverrun = 0\n'
    lines = polylines(MOTIF + motif + LINES + "clearance = 10\n")
    (square,) = (line for line in lines if line.is_closed)
    assert abs(shapely.Polygon(square).area - SQUARE_MM**2) < 1.0
    return min(line.distance(square) for line in lines if line is not square)


def corners_in(line: LineString) -> int:
    """Turns of more than 30 degrees, an angle between steps of the polyline."""
    way = np.diff(shapely.get_coordinates(line), axis=0)
    heading = np.arctan2(way[:, 1], way[:, 0])
    turn = np.abs(np.angle(np.exp(1j * np.diff(heading))))
    return int((turn > math.radians(30)).sum())


@outside(
    "whole jobs",
    "lines along a runner, then round and round: minutes told less those counted in the files",
    "arithmetic: stitches of the DST / 600, 15 s a start and stop, 2 s a corner (common practice);"
    " pyembroidery, ezdxf",
    0.0,
    0.1,
)
def minutes() -> float:
    apart = 0.0
    for more in (LINES, BOX_STEPS):
        pattern = pyembroidery.read_dst(io.BytesIO(made(more)["runner.dst"]))
        assert pattern is not None
        stitches = sum(row[2] & 0xFF == pyembroidery.STITCH for row in pattern.stitches)
        starts = len(polylines(more))
        corners = sum(map(corners_in, polylines(more)))
        counted = stitches / 600 + 15 * starts / 60 + 2 * corners / 60
        apart = max(apart, abs(counted - report(more)["time"]["sewing_min"]))
    return apart


@outside(
    "whole jobs",
    "binding of the usual kind: whether 10 to 24 in are cut beyond the runner's edge",
    "published rules leave 10 in (common practice), two hand widths, or two feet beyond the edge",
    1,
)
def binding_allowance() -> int:
    found = report(LINES)["cutting"]["binding"]
    beyond = (found["total_mm"] - 2 * (LENGTH + WIDTH)) / IN
    return int(10.0 <= beyond <= 24.0)


CORNERS = np.array([0.0, LENGTH, LENGTH + WIDTH, 2 * LENGTH + WIDTH])


@outside(
    "whole jobs",
    "binding's closing join: inches that lack of straight edge to either side of it",
    "common practice: 8 in are left open, 4 to either side; Euclid, along the edge to a corner",
    0.0,
    0.01,
)
def closing_join() -> float:
    far = np.abs(report(LINES)["cutting"]["binding"]["start_mm"] - CORNERS)
    return max(0.0, 4.0 - float(np.minimum(far, 2 * (LENGTH + WIDTH) - far).min()) / IN)


@outside(
    "whole jobs",
    "binding's joins, the closing one among them: the longest stretch without one, in strips",
    "arithmetic: no strip of 40 in reaches over more than its length less what its joins take",
    1.0,
    0.005,
)
def longest_stretch() -> float:
    found = report(LINES)["cutting"]["binding"]
    edge = 2 * (LENGTH + WIDTH)
    joins = np.sort([*found["joins_mm"], found["start_mm"]])
    stretch = np.diff([*joins, joins[0] + edge])
    # a diagonal join takes a strip's width; an eighth of an inch goes into the fold of each mitre
    strip = (40 * IN - found["strip_width_mm"]) * edge / (edge + 4 * IN / 8)
    return float(stretch.max() / strip)


@outside(
    "whole jobs",
    "binding's closing join: from the place told along the edge to the point told, in mm",
    "Euclid: the edge of 1800 by 400 walked from its lower left corner to the right",
    0.0,
    0.01,
)
def closing_point() -> float:
    found = report(LINES)["cutting"]["binding"]
    walk = LineString([(0, 0), (LENGTH, 0), (LENGTH, WIDTH), (0, WIDTH), (0, 0)])
    return float(math.dist(walk.interpolate(found["start_mm"]).coords[0], found["start_at_mm"]))


@outside(
    "whole jobs",
    "backing larger than the top, inches in all over length and over width",
    "common practice: 4 in all round, so 8",
    (8.0, 8.0),
    0.01,
)
def backing() -> tuple[float, ...]:
    found = report(LINES)["cutting"]
    return tuple(
        (found["backing"][side] - found["top"][side]) / IN for side in ("length_mm", "width_mm")
    )


@outside(
    "whole jobs",
    "lines 40 mm apart on 1800 by 400: widest place told by the report",
    "closed form: the spacing",
    40.0,
    0.05,
)
def gap_told() -> float:
    return float(report(LINES)["gap"]["widest_mm"])


LEAN_DEG = 2.0


def leaning_panel() -> str:
    """A parallelogram whose ends lean to the right, as a tape would measure it."""
    sides, product = LENGTH**2 + WIDTH**2, 2 * LENGTH * WIDTH * math.sin(math.radians(LEAN_DEG))
    rising, falling = math.sqrt(sides + product), math.sqrt(sides - product)
    return (
        f"[grid]\nalong = 9\nacross = 2\n"
        f"[print]\nlengths = [{LENGTH}, {LENGTH}, {LENGTH}]\n"
        f"widths = [{WIDTH}, {WIDTH}, {WIDTH}]\ndiagonals = [{rising:.4f}, {falling:.4f}]\n"
        '[[quilting]]\nkind = "straight"\nangle = 90\nspacing = 100\noverrun = 0\n'
    )


@outside(
    "whole jobs",
    "panel of 1800 by 400 measured over its diagonals: degrees that it leans to the right",
    "law of the parallelogram: difference of the squares of its diagonals, 4 a b sin",
    LEAN_DEG,
    0.01,
)
def lean_told() -> float:
    return float(report(leaning_panel())["cutting"]["off_square"]["lean_deg"])


@outside(
    "whole jobs",
    "the same panel: degrees that the crosswise lines of the DXF lean to the right with the print",
    "law of the parallelogram; ezdxf",
    LEAN_DEG,
    0.05,
)
def lean_sewn() -> float:
    ends = [np.array(line.coords)[[0, -1]] for line in polylines(leaning_panel())]
    way = np.array([two[two[:, 1].argsort()] for two in ends])
    step = way[:, 1] - way[:, 0]
    return float(np.degrees(np.median(np.arctan2(step[:, 0], step[:, 1]))))


TILED = LINES + '[paper]\nsize = "A4"\nmargin = 6\noverlap = 10\nsheets = ["tiled"]\n'
DASHED = "11.339"


@cache
def taped_pages() -> dict[str, tuple[tuple[float, float], list[float], list[float]]]:
    """By name: where the runner's lower left corner stands on the page, from the left and from
    above, and where its upright and its level joining lines are, in mm."""
    found = {}
    with pdfplumber.open(io.BytesIO(made(TILED)["tiled-guide.pdf"])) as pages:
        for page in pages.pages[1:]:
            words = page.extract_text().replace(",", " ").split()
            name = words[words.index("page") + 1]
            runner = max(page.rects, key=lambda rect: rect["width"])
            joins = [line for line in page.lines if DASHED in str(line["dash"])]
            upright = sorted(j["x0"] * POINT for j in joins if j["x0"] == j["x1"])
            level = sorted(j["top"] * POINT for j in joins if j["top"] == j["bottom"])
            found[name] = (runner["x0"] * POINT, runner["bottom"] * POINT), upright, level
    return found


@outside(
    "whole jobs",
    "tiled guide taped along its joining lines: mm by which pages miss each other's drawing",
    "Euclid: one page's last line laid on the next one's first; pdfplumber",
    0.0,
    0.02,
)
def taped() -> float:
    pages, apart = taped_pages(), []
    for name, (corner, upright, level) in pages.items():
        right, below = f"{chr(ord(name[0]) + 1)}{name[1:]}", f"{name[0]}{int(name[1:]) + 1}"
        if right in pages:
            other, lines, _ = pages[right]
            apart.append((corner[0] - upright[-1]) - (other[0] - lines[0]))
        if below in pages:
            other, _, lines = pages[below]
            apart.append((corner[1] - level[-1]) - (other[1] - lines[0]))
    assert len(apart) > 12
    return float(np.abs(apart).max())


@outside(
    "whole jobs",
    "tiled guide with a margin of 6 and 10 shared: from the paper's edge to the joining line, mm",
    "arithmetic: the margin and half of what is shared; pdfplumber",
    (11.0, 11.0),
    0.02,
)
def joining_line() -> tuple[float, ...]:
    """On every page with a neighbour on its left: the nearest and the farthest."""
    found = [lines[0] for name, (_, lines, _) in taped_pages().items() if name[0] != "A"]
    return min(found), max(found)


def twelve_short_lines() -> list[tuple[float, float]]:
    chance = np.random.default_rng(12)
    return [(float(x), float(y)) for x, y in chance.uniform((40, 40), (1700, 360), (11, 2))]


@outside(
    "whole jobs",
    "11 short lines far apart: travel above the least of all orders, as a share",
    "ortools, CP-SAT with a circuit over both ends of each",
    0.0,
    0.02,
)
def travel_over_least() -> float:
    places = twelve_short_lines()
    drawn = [LineString([place, (place[0] + 30.0, place[1])]) for place in places]
    runs = route(
        layer_lines(drawn, name="lines"),
        policy_named("continuous"),
        box(0, 0, LENGTH, WIDTH),
        0.0,
    )
    ends = np.array([[runs.run(i)[0], runs.run(i)[-1]] for i in range(len(runs))])
    travel = float(np.hypot(*(ends[1:, 0] - ends[:-1, 1]).T).sum())
    return travel / least_travel(ends) - 1.0


def least_travel(ends: np.ndarray) -> float:
    """The least way between ``ends`` (n, 2, 2) over all orders and directions, in mm."""
    from ortools.sat.python import cp_model

    model, count = cp_model.CpModel(), len(ends)
    arcs, costs = [], []
    for one in range(count):
        for other in range(count):
            for a in (0, 1) if one != other else ():
                for b in (0, 1):
                    arc = model.new_bool_var("")
                    arcs.append((2 * one + a, 2 * other + b, arc))
                    costs.append((arc, round(100 * math.dist(ends[one][1 - a], ends[other][b]))))
    for node in range(2 * count):
        arcs += [
            (2 * count, node, model.new_bool_var("")),
            (node, 2 * count, model.new_bool_var("")),
        ]
        arcs.append((node, node, model.new_bool_var("")))
    idle = {start: arc for start, end, arc in arcs if start == end}
    for one in range(count):
        model.add_exactly_one([idle[2 * one], idle[2 * one + 1]])
    model.add_circuit(arcs)
    model.minimize(sum(arc * cost for arc, cost in costs))
    solver = cp_model.CpSolver()
    assert solver.solve(model) == cp_model.OPTIMAL
    return solver.objective_value / 100
