"""Waves and serpentine lines: rows that run from end to end."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from quiltpath.project.repertoire_sections import SerpentineLayer, WavesLayer
from quiltpath.quilting.curves import STRAY_MM, Points, arc_between, chained
from quiltpath.quilting.frame import Frame, repeats
from quiltpath.quilting.spacing import even_number


def waves(layer: WavesLayer, frame: Frame) -> list[Points]:
    """Sine curves, a whole number of waves to the length, evenly from side to side."""
    _, wave = repeats(layer.wave, frame.length)
    amplitude = layer.height / 2
    bend = amplitude * (2 * math.pi / wave) ** 2
    step = math.sqrt(8 * STRAY_MM / bend)
    x = np.linspace(0, frame.length, math.ceil(frame.length / step) + 1)
    y = amplitude * np.cos(2 * math.pi * (x - frame.length / 2) / wave)
    heights = row_heights(layer.spacing.mm, layer.spacing.about, frame.width, layer.height)
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
    row = _between(chained([arc_between(a, b, float(s)) for (a, b), s in steps]), frame.length)
    height = half * math.tan(math.radians(layer.sweep) / 4)
    heights = row_heights(layer.spacing.mm, layer.spacing.about, frame.width, height)
    return [row + np.array([0.0, at]) for at in heights]


def _between(row: Points, length: float) -> Points:
    """The part of a row, which never turns back, from 0 to ``length``."""
    inside = row[(row[:, 0] > 1e-9) & (row[:, 0] < length - 1e-9)]
    ends = np.array([0.0, length])
    first, last = np.column_stack([ends, np.interp(ends, row[:, 0], row[:, 1])])
    return np.concatenate([first[None], inside, last[None]])


def row_heights(spacing: float, even: bool, width: float, height: float) -> NDArray[np.float64]:
    """Middles of rows of a given height, so that all are whole and both edges are alike."""
    room = width - height
    if room <= spacing / 2:
        return np.array([width / 2])
    if even:
        count = even_number(room, spacing)
        return height / 2 + room / count * (np.arange(count, dtype=np.float64) + 0.5)
    count = math.floor(room / spacing + 1e-9)
    return width / 2 + spacing * (np.arange(count + 1, dtype=np.float64) - count / 2)
