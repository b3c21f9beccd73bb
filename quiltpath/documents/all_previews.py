"""How it will look, as every ``make`` shows it: as vectors, as a lit picture and as a page."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from quiltpath.documents.lit_picture import (
    PX_PER_MM,
    bare_surface,
    lit_cloth,
    lit_whole,
    surfaces,
    whole_view,
)
from quiltpath.documents.preview import GapMark, cloth_of, gap_group, preview
from quiltpath.documents.preview_page import Relief, preview_page, relief_map
from quiltpath.drawing import png, svg
from quiltpath.drawing.page_model import Group, Page, Raster
from quiltpath.drawing.relief_light import light_surface
from quiltpath.drawing.relief_view import LitView, Rgb
from quiltpath.result.values import Result
from quiltpath.units import Measures

PALETTE = 256
"""Colours of the picture: a quarter of the size, and no step that an eye finds."""
MOST_MARKS = 5


def drawn_preview(result: Result) -> bytes:
    """The lines on the cloth as an SVG file."""
    shown = preview(
        result.runner,
        result.lines,
        result.stitches,
        cloth=cloth_of(result.project),
        gaps=gap_marks(result),
        title=result.project.title,
    )
    return svg.render(shown, decimals=1)


def lit_previews(result: Result) -> Iterator[tuple[str, bytes, str]]:
    """Name, content and kind of the picture and of the page of the lit cloth."""
    dressed, view = lit_cloth(result), whole_view(result.runner)
    unsewn, sewn = surfaces(result.relief.field, dressed, view)
    page = lit_page(result, light_surface(sewn, dressed.light), view)
    yield "preview.png", png.render(page, view.px_per_mm, colours=PALETTE), "preview"
    yield "preview.html", preview_page(result, relief_map(unsewn, view, dressed.light)), "preview"


def relief_of(result: Result) -> Relief:
    """The cloth's shape, for a page to light."""
    dressed, view = lit_cloth(result), whole_view(result.runner)
    return relief_map(bare_surface(result.relief.field, dressed, view), view, dressed.light)


def lit_page(result: Result, rgb: Rgb, view: LitView) -> Page:
    """A lit picture of the whole as a page of its size in mm, with the gaps that are too wide."""
    size = view.high_x - view.low_x, view.high_y - view.low_y
    title = result.project.title
    lit_runner = Group("as quilted", (Raster((0.0, 0.0, *size), rgb, f"{title}, as quilted"),))
    marks = replace(gap_group(gap_marks(result)), shift_mm=(-view.low_x, -view.low_y))
    return Page(*size, (lit_runner, marks), title=title)


def small_page(result: Result) -> Page:
    """The lit picture of a result as a page."""
    view = whole_view(result.runner, PX_PER_MM)
    return lit_page(result, lit_whole(result, PX_PER_MM), view)


def gap_marks(result: Result) -> tuple[GapMark, ...]:
    """Circles for the gaps that the wadding will not hold, the widest few."""
    if result.gap_limit_mm is None:
        return ()
    words = Measures(result.project.handout_units)
    wide = [gap for gap in result.gaps.widest if gap.diameter_mm > result.gap_limit_mm]
    return tuple(
        GapMark(gap.centre, gap.diameter_mm, words.short(gap.diameter_mm))
        for gap in wide[:MOST_MARKS]
    )
