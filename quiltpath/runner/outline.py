"""The finished outline: from a size, from points, or from a drawing."""

from __future__ import annotations

from collections.abc import Callable

import shapely
from shapely.geometry import Polygon
from shapely.validation import explain_validity

from quiltpath.errors import InputError
from quiltpath.project import Project
from quiltpath.project.runner_sections import RunnerSection
from quiltpath.runner.outline_marks import Outline
from quiltpath.runner.outlines import (
    clipped,
    hexagon,
    octagon,
    oval,
    pointed,
    rectangle,
    round_centre,
    rounded,
    scalloped,
    square_centre,
)
from quiltpath.runner.svg_shapes import single_outline
from quiltpath.units import MM_PER_INCH


def finished_outline(project: Project) -> Polygon:
    """The finished edge as a counter-clockwise polygon with its lower left corner at the origin."""
    section = project.runner
    if section.outline is not None:
        return _settled(Polygon(section.outline), "runner.outline")
    if section.outline_svg is not None:
        drawn = single_outline(project.drawing(section.outline_svg), section.outline_svg)
        return _settled(drawn, "runner.outline_svg")
    return _settled(named_outline(section).shape, "runner")


def named_outline(section: RunnerSection) -> Outline:
    """The outline of a named shape, with its corners and curves.

    Raises :class:`InputError` where the measures contradict each other.
    """
    length = section.length or 0.0
    width = section.width or length
    try:
        return _shaped(section, length, width)
    except ValueError as error:
        wrong, _, right = str(error).partition("; ")
        raise InputError("", "runner.shape", wrong, right) from None


def _shaped(section: RunnerSection, length: float, width: float) -> Outline:
    """A row a shape; defaults of its own measures stand beside it."""
    scallop = section.scallop or 4 * MM_PER_INCH
    make: dict[str, Callable[[], Outline]] = {
        "rectangle": lambda: rectangle(length, width),
        "pointed": lambda: pointed(length, width, section.point_angle or 90.0),
        "clipped": lambda: clipped(length, width, section.cut or width / 4),
        "rounded": lambda: rounded(length, width, section.radius),
        "oval": lambda: oval(length, width),
        "hexagon": lambda: hexagon(length, width),
        "octagon": lambda: octagon(length, width),
        "scalloped": lambda: scalloped(
            length, width, scallop, section.scallop_depth or scallop / 4
        ),
        "round": lambda: round_centre(length),
        "square": lambda: square_centre(length),
    }
    return make[section.shape]()


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
