"""The finished outline: from a size, from points, or from a drawing."""

from __future__ import annotations

import shapely
from shapely.geometry import Polygon, box
from shapely.validation import explain_validity

from quiltpath.errors import InputError
from quiltpath.project import Project
from quiltpath.runner.svg_shapes import single_outline


def finished_outline(project: Project) -> Polygon:
    """The finished edge as a counter-clockwise polygon with its lower left corner at the origin."""
    section = project.runner
    if section.outline is not None:
        return _settled(Polygon(section.outline), "runner.outline")
    if section.outline_svg is not None:
        drawn = single_outline(project.drawing(section.outline_svg), section.outline_svg)
        return _settled(drawn, "runner.outline_svg")
    return _settled(box(0, 0, section.length or 0, section.width or 0), "runner")


def _settled(shape: Polygon, key: str) -> Polygon:
    """Checked, turned counter-clockwise, and moved to the origin."""
    if not shape.is_valid:
        raise InputError(
            "", key, f"the outline crosses itself ({explain_validity(shape).lower()})",
            "list its corners in order round the edge",
        )  # fmt: skip
    if shape.area < 100.0:
        raise InputError("", key, "the outline encloses no area", "check its points and units")
    low_x, low_y, _, _ = shape.bounds
    moved = shapely.transform(shape, lambda points: points - (low_x, low_y))
    return shapely.geometry.polygon.orient(moved)
