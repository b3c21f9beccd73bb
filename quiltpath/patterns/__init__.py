"""Quilting: a runner and its layers in, lines out."""

from __future__ import annotations

from quiltpath.patterns.draw import draw, draw_layer, expected_length_mm, is_slow_to_draw
from quiltpath.patterns.lines import LineRole, Lines, Remark, join

__all__ = [
    "LineRole",
    "Lines",
    "Remark",
    "draw",
    "draw_layer",
    "expected_length_mm",
    "is_slow_to_draw",
    "join",
]
