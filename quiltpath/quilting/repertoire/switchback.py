"""Switchbacks: lines there and back with rounded turns."""

from __future__ import annotations

import numpy as np

from quiltpath.project.repertoire_sections import SwitchbackLayer
from quiltpath.quilting.curves import Points, arc, chained
from quiltpath.quilting.frame import Frame, repeats


def switchback(layer: SwitchbackLayer, frame: Frame) -> list[Points]:
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
    return [chained([*parts, np.array([[last, heights[-1]]])])]
