"""Lines cut away where they would come too near a motif."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.quilting.echo import arc_pieces
from quiltpath.quilting.strokes import Geometries, Strokes, objects, pieces
from quiltpath.runner.runner import Runner

COARSER_MM = 0.01
"""Zones are simplified by this much, and made larger by it first, so that none falls short."""


def kept_clear(drawn: Strokes, runner: Runner, clearance_mm: float) -> Strokes:
    """The strokes without what lies within ``clearance_mm`` of any motif.

    A tree finds which lines meet which motifs, so that each line is cut by its own motifs alone:
    all lines by the first of theirs, then all by the second, until none is left. Work grows with
    the number of such meetings.
    """
    zones = _zones(runner, clearance_mm)
    line, zone = _meetings(drawn.geometry, zones)
    if not len(line):
        return drawn
    rank = np.arange(len(line)) - np.searchsorted(line, line)
    cut = drawn.geometry.copy()
    for turn in range(int(rank.max()) + 1):
        now = rank == turn
        cut[line[now]] = shapely.difference(cut[line[now]], zones[zone[now]])
    return pieces(drawn, cut)


def _meetings(lines: Geometries, zones: Geometries) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Indices of lines, rising, and of the zones that each one meets."""
    line, zone = shapely.STRtree(zones).query(lines)
    shapely.prepare(zones)
    met = shapely.intersects(zones[zone], lines[line])
    line, zone = line[met], zone[met]
    order = np.lexsort((zone, line))
    return line[order], zone[order]


def _zones(runner: Runner, clearance_mm: float) -> Geometries:
    """The shapes that lines stay out of, one for each part of each motif."""
    parts = shapely.get_parts(objects([motif.shape for motif in runner.motifs]))
    if clearance_mm > 0:
        reach = clearance_mm + COARSER_MM
        parts = shapely.buffer(parts, reach, quad_segs=arc_pieces(reach))
        coarser = shapely.simplify(parts, COARSER_MM, preserve_topology=False)
        parts = shapely.get_parts(np.where(shapely.is_valid(coarser), coarser, parts))
    return parts
