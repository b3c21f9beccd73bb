"""The finished outline of a project: from a size and a shape's name, from points, or drawn."""

from __future__ import annotations

import shapely
from shapely.geometry import Polygon
from shapely.validation import explain_validity

from quiltpath.errors import InputError
from quiltpath.geometry.named_outlines import OUTLINES
from quiltpath.geometry.svg_shapes import single_outline
from quiltpath.project import Project
from quiltpath.project.runner_sections import RunnerSection


def finished_outline(project: Project) -> Polygon:
    """The finished edge as a counter-clockwise polygon with its lower left corner at the origin."""
    section = project.runner
    if section.outline is not None:
        return _normalise(Polygon(section.outline), "runner.outline")
    if section.outline_svg is not None:
        drawn = single_outline(project.drawing(section.outline_svg), section.outline_svg)
        return _normalise(drawn, "runner.outline_svg")
    return _normalise(_named(section), "runner")


def _named(section: RunnerSection) -> Polygon:
    """A shape by its name; measures that contradict each other are told."""
    outline = OUTLINES[section.shape]
    sizes = {"length": section.length, "width": section.width}
    if outline.one_size:
        del sizes["width"]
    own = {name: getattr(section, name) for name in outline.measures}
    try:
        return outline.draw(**sizes, **{key: mm for key, mm in own.items() if mm is not None})
    except ValueError as error:
        raise InputError.parted("runner.shape", error) from None


def _normalise(shape: Polygon, key: str) -> Polygon:
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
