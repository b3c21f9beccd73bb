"""What every ``make`` draws: the marking guide, and the preview as vectors and as a picture."""

from __future__ import annotations

from collections.abc import Iterator

from quiltpath.documents.preview import SMALL, GapMark, cloth_of, preview
from quiltpath.documents.preview_page import preview_page
from quiltpath.drawing import png, svg
from quiltpath.drawing.page_model import Drawing
from quiltpath.result.values import Result
from quiltpath.units import millimetres

PREVIEW_PIXELS_PER_MM = 1.0
MOST_MARKS = 5


def previews(result: Result) -> Iterator[tuple[str, bytes, str]]:
    """Name, content and kind of each preview of the set."""
    title = result.project.title
    marks = gap_marks(result)
    cloth = cloth_of(result)
    shown = preview(
        result.runner, result.lines, result.stitches, cloth=cloth, gaps=marks, title=title
    )
    yield "preview.svg", svg.render(shown, decimals=1), "preview"
    small = small_picture(result)
    yield "preview.png", png.render(small.pages[0], PREVIEW_PIXELS_PER_MM), "preview"
    yield "preview.html", preview_page(result), "preview"


def small_picture(result: Result) -> Drawing:
    """The preview for about one pixel to the millimetre."""
    marks = gap_marks(result)
    return preview(
        result.runner,
        result.lines,
        result.stitches,
        cloth=cloth_of(result, SMALL),
        gaps=marks,
        title=result.project.title,
    )


def gap_marks(result: Result) -> tuple[GapMark, ...]:
    """Circles for the gaps that the wadding will not hold, the widest few."""
    if result.gap_limit_mm is None:
        return ()
    wide = [gap for gap in result.gaps.widest if gap.diameter_mm > result.gap_limit_mm]
    return tuple(
        GapMark(gap.centre, gap.diameter_mm, millimetres(gap.diameter_mm))
        for gap in wide[:MOST_MARKS]
    )
