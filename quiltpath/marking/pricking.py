"""Sheets to prick or to trace: every line that is marked, with a dot for each hole, true to size.

A hole every 2.5 mm lets chalk powder through and leaves the paper whole (common practice).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LineString

from quiltpath.drawing.page_model import GREY, INK, Drawing, Group, Polylines, Style
from quiltpath.geometry.arrays import Floats, Points, arc_lengths
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import message, say, say_known
from quiltpath.marking.marking_set import (
    MOST_PAGES,
    fewest_packed,
    map_rows,
    pages_of,
    template_rows,
    vast_rows,
)
from quiltpath.marking.paper_sizes import PaperSetting
from quiltpath.marking.sheet import Sheet, SheetRow, first_sheets, heading, pages, paragraph
from quiltpath.marking.taping import fits, tile_piece, tiled_sheets
from quiltpath.marking.template_piece import shown, template_piece
from quiltpath.marking.templates import Template, sample_of, templates
from quiltpath.patterns import Lines
from quiltpath.patterns.layer import Layer
from quiltpath.result.marking_ways import Way, markings

APART_MM = 2.5
"""From one hole to the next, at most."""

CORNER_DEG = 20.0
"""A line that turns by more has a hole in the corner itself."""

THREAD = Style(GREY, 0.2)
HOLE = Style(INK, 0.8, round_ends=True)
DOT_MM = 0.01

TO_PRICK = (
    message(
        "By machine: take the needle thread and the bobbin out, put in an old needle (paper"
        " blunts it), set the stitch to 2.5 mm and sew slowly along the dots. Keep your"
        " fingers as far from the needle as when you sew; the machine's manual comes first."
    ),
    message(
        "By hand: lay the sheet on felt or a folded towel and prick each dot with a needle,"
        " or roll a tracing wheel along the lines; the points are sharp. Three plain sheets"
        " pinned underneath are pricked with it, for the blocks that follow."
    ),
    message(
        "Lay the pricked sheet on the pressed top, the cross where the list says, and weigh"
        " it down. Pat a pad with chalk powder over the holes, do not wipe; lift the sheet"
        " straight up. Powder is fine: do not blow it about, and do not breathe it. It"
        " comes off soon, so quilt block by block, or draw over the dots."
    ),
)
TO_TRACE = (
    message(
        "On pale cloth: tape the sheet to a light box, or to a window by day, lay the top"
        " on it right side up and draw the lines that show through. The sheet is then"
        " neither pricked nor cut."
    ),
)


def pricking_set(
    runner: Runner, lines: Lines, layers: Sequence[Layer], setting: PaperSetting, title: str
) -> Drawing | None:
    """Every line that is marked, on sheets; what is followed on the cloth is left out.

    Nothing where no line is marked. Raises :class:`InputError` where a layer asks for a way of
    marking that its lines do not allow.
    """
    ways = [
        replace(way, templated=np.flatnonzero(lines.layer == way.index))
        for way in markings(runner, lines, layers)
        if way.way is not Way.NONE
    ]
    wholes = templates(runner, lines, ways)
    if not wholes:
        return None
    room = setting.text_room(setting.turns[0])
    rooms = [setting.room(turn) for turn in setting.turns]
    found, vast = [], list[SheetRow]()
    for whole in wholes:
        if pages_of(whole, setting) > MOST_PAGES:
            vast += vast_rows(runner, lines, whole, setting, room)
            whole = sample_of(runner, lines, whole)
        found.append(whole)
    made = [template_piece(runner, lines, template, rooms, dotted) for template in found]
    small = [piece for piece in made if any(fits(piece, each) for each in rooms)]
    large = [tile_piece(piece, setting) for piece in made if piece not in small]
    rows = _how(title, room) + template_rows(runner, found, room, setting.units) + vast
    rows += map_rows(large, room)
    sheets: list[Sheet] = first_sheets(rows, say("how to"), setting.turns[0], setting)
    sheets += fewest_packed(small, setting, say("pricking"))
    for done in large:
        sheets += tiled_sheets(done, setting)
    return Drawing(say("{title}: pricking", title=title), pages(title, sheets, setting))


def _how(title: str, room: float) -> list[SheetRow]:
    rows = [heading(say("{title}: to prick or to trace", title=title), room)]
    for name, told in ((say("To prick"), TO_PRICK), (say("To trace"), TO_TRACE)):
        rows.append(heading(name, room))
        for words in map(say_known, told):
            rows += paragraph(words, room)
    return rows


def dotted(lines: Lines, template: Template) -> Group:
    """The lines of a template thin, to trace, and a dot for each hole."""
    drawn = shown(lines, template)
    points = np.vstack([holes(line) for line in drawn])
    ends = np.repeat(points, 2, axis=0)
    ends[1::2, 0] += DOT_MM
    thin = np.vstack([shapely.get_coordinates(line) for line in drawn])
    start = np.cumsum([0, *(shapely.get_num_coordinates(drawn)).tolist()])
    return Group(
        "lines",
        (
            Polylines(thin, start.astype(np.intp), THREAD),
            Polylines(ends, np.arange(0, len(ends) + 1, 2), HOLE),
        ),
    )


def holes(line: LineString) -> Points:
    """(n, 2) places of the holes: ends, corners, and evenly between them, at most 2.5 mm apart."""
    points = shapely.get_coordinates(line)
    along = arc_lengths(points)
    stops = along[_fixed(points)]
    at = [np.zeros(1)]
    for low, high in itertools.pairwise(stops.tolist()):
        count = max(1, int(np.ceil((high - low) / APART_MM - 1e-9)))
        at.append(np.linspace(low, high, count + 1)[1:])
    places: Points = shapely.get_coordinates(
        shapely.line_interpolate_point(line, np.concatenate(at))
    )
    return places


def _fixed(points: Points) -> Floats:
    """Indices of the ends and of the corners."""
    steps = np.diff(points, axis=0)
    angle = np.degrees(np.arctan2(*steps.T[::-1]))
    turn = np.abs((np.diff(angle) + 180.0) % 360.0 - 180.0)
    return np.concatenate([[0], np.flatnonzero(turn > CORNER_DEG) + 1, [len(points) - 1]])
