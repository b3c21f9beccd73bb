"""The runner near to and from across the room, side by side on one sheet.

The far picture is drawn so small that, held at reading distance, it is seen under the same angle
as the runner from across the room: its scale is reading distance / distance, thread included.
"""

from __future__ import annotations

from dataclasses import replace

from quiltpath.checks.contrast import Shown
from quiltpath.output.drawing import GREY, Drawing, Group, Item, Page, Text
from quiltpath.output.preview import Cloth, preview
from quiltpath.result import Result

READING_MM = 500.0
NEAR_MM = 160.0
"""Side of the square of cloth that is shown at true size."""

EDGE_MM = 12.0
TEXT_MM = 4.0
ROW_MM = 6.5


def cloth_of(result: Result, base: Cloth | None = None) -> Cloth:
    """The colours of the project's [look] laid over those of the preview."""
    look, base = result.project.look, base or Cloth()
    return replace(
        base,
        thread=look.thread or base.thread,
        ground=look.ground or base.ground,
        block=look.block or base.block,
        motif=look.motif or base.motif,
    )


def title_of(result: Result) -> str:
    """The sheet's title."""
    return f"{result.project.title}: near and far"


def far_scale(distance_mm: float) -> float:
    """Scale of the far picture."""
    return READING_MM / distance_mm


def far_view(result: Result, shows: tuple[Shown, ...], distance_mm: float) -> Drawing:
    """One page: a part of the runner at true size, the whole as from afar, and the figures."""
    cloth = replace(cloth_of(result), thread_mm=result.project.look.thread_width)
    runner = Group(
        "runner", preview(result.runner, result.lines, result.stitches, cloth=cloth).pages[0].groups
    )
    whole = preview(result.runner, result.lines, result.stitches, cloth=replace(cloth, hole_mm=0.0))
    scale = far_scale(distance_mm)
    page = whole.pages[0]
    far_size = page.width_mm * scale, page.height_mm * scale
    side = min(NEAR_MM, page.height_mm)
    foot = EDGE_MM + ROW_MM * (len(shows) + 2)
    left = EDGE_MM + side + 2 * EDGE_MM
    middle = page.width_mm / 2, page.height_mm / 2
    near = Group(
        "near",
        (
            Group(
                "part",
                (runner,),
                shift_mm=(EDGE_MM - middle[0] + side / 2, foot - middle[1] + side / 2),
            ),
        ),
        clip_mm=(EDGE_MM, foot, EDGE_MM + side, foot + side),
        title="near to, true to size",
    )
    far = Group(
        "far",
        (
            Group(
                "small", page.groups, shift_mm=(left, foot + (side - far_size[1]) / 2), scale=scale
            ),
        ),
        title="from across the room",
    )
    words = _words(result, shows, distance_mm, left, foot + side)
    size = left + max(far_size[0], 150.0) + EDGE_MM, foot + max(side, far_size[1]) + 2 * EDGE_MM
    title = title_of(result)
    return Drawing(title, (Page(*size, (near, far, words), title=title),))


def _words(
    result: Result, shows: tuple[Shown, ...], distance_mm: float, left: float, top: float
) -> Group:
    items: list[Item] = [
        Text((EDGE_MM, top + 4), "Near to, true to size", TEXT_MM, bold=True),
        Text(
            (left, top + 4),
            f"From {distance_mm / 1000:g} m: hold this sheet {READING_MM / 10:.0f} cm away",
            TEXT_MM,
            bold=True,
        ),
    ]
    for row, show in enumerate(shows):
        y = EDGE_MM + ROW_MM * (len(shows) - 1 - row)
        text = (
            f"on {show.patch}: contrast {show.ratio:.1f} to 1, {show.words};"
            f" seen as lines to about {show.as_lines_to_m:.0f} m"
        )
        items.append(
            Text((EDGE_MM, y), text, TEXT_MM, colour=GREY if show.ratio < 1.5 else "#000000")
        )
    return Group("figures", tuple(items))
