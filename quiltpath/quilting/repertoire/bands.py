"""Cables, plaits and leaf vines: figures along a strip or round a border."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from quiltpath.distinct import distinct
from quiltpath.project.repertoire_sections import CableLayer, VineLayer
from quiltpath.quilting.curves import Points
from quiltpath.quilting.region import Patch
from quiltpath.quilting.repertoire.spine import Array, Spine, spine_of
from quiltpath.quilting.spacing import even_number

STEP_MM = 0.6
"""Bends of 3 mm and wider stay within 0.02 mm of their chords of this length."""


def cable(layer: CableLayer, patch: Patch) -> list[Points]:
    """Strands that swing from side to side, evenly out of step with each other.

    Between the ends of a strip lie whole half waves. The strands look the same again after one
    wave over their number; whole parts of that kind lie between the corners of a border, so that
    all corners are alike, and a corner's middle is where the strands mirror themselves.
    """
    spine = spine_of(patch, layer.inset, layer.turned)
    if spine is None:
        return []
    number = layer.strands if spine.closed else 2
    along, phase = _phases(spine, layer.repeat.mm / number, 2 * math.pi / number)
    shifts = 2 * math.pi * np.arange(layer.strands) / layer.strands
    if spine.closed and layer.strands == 3:
        shifts = shifts + math.pi / 2
    strands = [spine.at(along, spine.half_width * np.sin(phase + shift)) for shift in shifts]
    return strands if spine.closed or layer.strands == 2 else strands + _caps(spine, along, shifts)


def _phases(spine: Spine, part_mm: float, part_rad: float) -> tuple[Array, Array]:
    """Arc lengths along the spine and the phase at each: whole parts between two marks."""
    along, phase = [], []
    reached = 0.0
    for low, high in pairwise(spine.marks):
        parts = even_number(high - low, part_mm)
        steps = math.ceil((high - low) / STEP_MM)
        share = np.arange(steps) / steps
        along.append(low + share * (high - low))
        phase.append(reached + share * parts * part_rad)
        reached += parts * part_rad
    return np.append(np.concatenate(along), spine.marks[-1]), np.append(
        np.concatenate(phase), reached
    )


def _caps(spine: Spine, along: Array, shifts: Array) -> list[Points]:
    """A line across each end that ties three or four strands together, so that they are one path.

    The ends of the strands are points of it.
    """
    heights = distinct(np.round(spine.half_width * np.sin(shifts), 9))
    return [spine.at(np.full(len(heights), end), heights) for end in (along[0], along[-1])]


def leaf_vine(layer: VineLayer, patch: Patch) -> list[Points]:
    """A stem in gentle waves with a leaf on each crest, to either side by turns.

    Each leaf is sewn out and back in passing, so that stem and leaves are one path. None stands
    where it would pass the end of a strip or lie in a corner.
    """
    spine = spine_of(patch, layer.inset, layer.turned)
    if spine is None:
        return []
    along, phase = _phases(spine, layer.repeat.mm, 2 * math.pi)
    swing = spine.half_width * 0.25
    stem = np.column_stack([along, swing * np.sin(phase)])
    half = np.floor((phase - math.pi / 2) / math.pi + 1e-9)
    tops = np.flatnonzero(np.diff(half) > 0.5) + 1
    parts, sewn = [], 0
    for place in tops.tolist():
        reach = _leaf_reach(along, phase, place)
        parts.append(stem[sewn : place + 1])
        if spine.on_a_straight(along[place], along[place] + reach):
            parts.append(_leaf(stem[place], reach, spine.half_width))
        sewn = place + 1
    parts.append(stem[sewn:])
    path = np.concatenate(parts)
    return [spine.at(path[:, 0], path[:, 1])]


def _leaf_reach(along: Array, phase: Array, place: int) -> float:
    """How far a leaf reaches along: 40 percent of a wave where it stands."""
    rate = (phase[place] - phase[place - 1]) / (along[place] - along[place - 1])
    return 0.4 * 2 * math.pi / rate


def _leaf(base: Points, reach: float, half_width: float) -> Points:
    """Out along one side of a leaf and back along the other, outwards from a crest of the stem.

    The stem has been to the crest: the first point is the one after it, the last is the crest.
    """
    side = np.sign(base[1])
    tip = np.array([base[0] + reach, side * half_width])
    axis = tip - base
    # Up to 0.239 of the room for its height, no point of a leaf stands higher than its tip.
    across = np.array([-axis[1], axis[0]]) * min(0.22, 0.23 * half_width / reach)
    t = np.linspace(0, 1, max(8, math.ceil(np.hypot(*axis) / STEP_MM)))
    bulge = np.sin(math.pi * t)[:, None] * across
    out = base + t[:, None] * axis
    return np.concatenate([(out + bulge)[1:], (out - bulge)[-2::-1]])
