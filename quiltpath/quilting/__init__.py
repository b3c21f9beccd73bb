"""Quilting: a runner and its layers in, lines out."""

from quiltpath.quilting.draw import draw, draw_layer
from quiltpath.quilting.lines import LineRole, Lines, Remark, join

__all__ = ["LineRole", "Lines", "Remark", "draw", "draw_layer", "join"]
