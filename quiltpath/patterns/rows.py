"""Waves, serpentine lines and switchbacks: level rows side by side."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Annotated, Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from quiltpath.geometry.curves import STRAY_MM, Points, arc, arc_between, chain_paths
from quiltpath.patterns.clear_rooms import ClearRoom
from quiltpath.patterns.frame import Frame, repeats
from quiltpath.patterns.kind import EITHER, WALKING, Kind
from quiltpath.patterns.layer import INCH, Edge, RepertoireLayer, about
from quiltpath.patterns.spacing import divided
from quiltpath.patterns.square_walk import there_and_back
from quiltpath.schema import Length, LengthOrZero, Spacing, fault
from quiltpath.units import both_units


class _Rows(RepertoireLayer):
    """Rows that run from end to end and off the edge."""

    inset: LengthOrZero = 0.0
    spacing: Spacing = about(INCH)
    """between neighbouring lines"""
    wave: Spacing = about(6 * INCH)
    """one wave along the row, from crest to crest"""
    edge: Edge | None = None
    """crests on the edge, half a gap off or a whole one, in even gaps; left out, half where even"""


class WavesLayer(_Rows):
    """Gentle waves: sine curves side by side."""

    kind: Literal["waves"]
    height: Length = INCH
    """from trough to crest"""

    @model_validator(mode="after")
    def _gentle(self) -> Self:
        if self.height > self.wave.mm / 2:
            limit = both_units(self.wave.mm / 2)
            raise fault("waves this steep are not gentle", f"give a height of {limit} or less")
        return self


class SerpentineLayer(_Rows):
    """Serpentine lines: arcs of a circle to one side and the other."""

    kind: Literal["serpentine"]
    sweep: Annotated[float, Field(ge=20, le=180)] = 120.0
    """degrees of circle in each arc; 180 makes half circles"""


class SwitchbackLayer(RepertoireLayer):
    """Lines there and back, joined by rounded turns: one path."""

    kind: Literal["switchback"]
    spacing: Spacing = about(INCH)
    """between neighbouring lines"""


def waves(layer: WavesLayer, frame: Frame) -> list[Points]:
    """Sine curves, a whole number of waves to the length, evenly from side to side."""
    _, wave = repeats(layer.wave, frame.length)
    amplitude = layer.height / 2
    bend = amplitude * (2 * math.pi / wave) ** 2
    step = math.sqrt(8 * STRAY_MM / bend)
    x = np.linspace(0, frame.length, math.ceil(frame.length / step) + 1)
    y = amplitude * np.cos(2 * math.pi * (x - frame.length / 2) / wave)
    heights = row_heights(
        layer.spacing.mm, layer.spacing.about, frame.width, layer.height, layer.edge
    )
    return [np.column_stack([x, y + height]) for height in heights]


def serpentine(layer: SerpentineLayer, frame: Frame) -> list[Points]:
    """Arcs to one side and the other that run smoothly into each other."""
    count, wave = repeats(layer.wave, frame.length)
    half = wave / 2
    middle = frame.length / 2
    nodes = middle + half * (np.arange(-count - 1, count + 1) + 0.5)
    # An arc has its crest on the middle, so that the row is its own mirror.
    sweeps = layer.sweep * (-1.0) ** np.arange(len(nodes) - 1)
    points = np.column_stack([nodes, np.zeros_like(nodes)])
    steps = zip(pairwise(points), sweeps, strict=True)
    row = _between(chain_paths([arc_between(a, b, float(s)) for (a, b), s in steps]), frame.length)
    height = half * math.tan(math.radians(layer.sweep) / 4)
    heights = row_heights(layer.spacing.mm, layer.spacing.about, frame.width, height, layer.edge)
    return [row + np.array([0.0, at]) for at in heights]


def _between(row: Points, length: float) -> Points:
    """The part of a row, which never turns back, from 0 to ``length``."""
    inside = row[(row[:, 0] > 1e-9) & (row[:, 0] < length - 1e-9)]
    ends = np.array([0.0, length])
    first, last = np.column_stack([ends, np.interp(ends, row[:, 0], row[:, 1])])
    return np.concatenate([first[None], inside, last[None]])


def row_heights(
    spacing: float, even: bool, width: float, height: float, edge: Edge | None = None
) -> NDArray[np.float64]:
    """Middles of rows of a given height, so that all are whole and both edges are alike."""
    room = width - height
    if room <= spacing / 2:
        return np.array([width / 2])
    if edge or even:
        return height / 2 + divided(0.0, room, spacing, edge or "half")
    count = math.floor(room / spacing + 1e-9)
    return width / 2 + spacing * (np.arange(count + 1, dtype=np.float64) - count / 2)


def switchback(layer: SwitchbackLayer, room: ClearRoom) -> list[Points]:
    """One path over a rectangle; round motifs one closed line there and back.

    That one goes round a tree of rows (see ``square_walk``), so that nothing cuts it.
    """
    frame = room.frame(layer.turned)
    if frame is None:
        return []
    if room.has_no_motifs:
        return [frame.placed(points) for points in switchbacks(layer, frame)]
    return there_and_back(room.whole, room.clear, layer.spacing, frame.upright)


def switchbacks(layer: SwitchbackLayer, frame: Frame) -> list[Points]:
    """One path: level lines, each joined to the next by a half circle; none without room for one.

    Its length is lines x (length - spacing) + spacing + (lines - 1) x pi x spacing / 2, for the
    first and the last line keep one square end each.
    """
    count, gap = repeats(layer.spacing, frame.width)
    radius = gap / 2
    if frame.length <= gap or frame.width < gap * (1 - 1e-9):
        return []
    heights = (frame.width - count * gap) / 2 + gap * np.arange(count + 1)
    parts: list[Points] = [np.array([[0.0, heights[0]]])]
    for index, height in enumerate(heights[:-1]):
        right = index % 2 == 0
        at = frame.length - radius if right else radius
        turn = (-90.0, 90.0) if right else (270.0, 90.0)
        parts.append(arc((at, float(height) + radius), radius, *turn))
    last = 0.0 if count % 2 else frame.length
    return [chain_paths([*parts, np.array([[last, heights[-1]]])])]


KINDS = (
    Kind(WavesLayer, WALKING, in_frame=waves),
    Kind(SerpentineLayer, EITHER, in_frame=serpentine),
    Kind(SwitchbackLayer, EITHER, in_clear=switchback, one_path=True),
)
