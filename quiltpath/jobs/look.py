"""``look``: how the lines show near to and from across the room, and the contrast on each cloth.

The runner near to and from across the room, side by side on one sheet.

The far picture is drawn so small that, held at reading distance, it is seen under the same angle
as the runner from across the room: its scale is reading distance / distance, thread included.

How far thread stands out from cloth, near to and from across the room.

Contrast ratio and relative luminance as in the Web Content Accessibility Guidelines 2.1 of the W3C
(from memory): (L1 + 0.05) / (L2 + 0.05), L = 0.2126 R + 0.7152 G + 0.0722 B of linear sRGB.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from quiltpath.documents.lit_picture import lit_cloth, lit_part, whole_view
from quiltpath.documents.notes import ReportEntry, bullet_points
from quiltpath.documents.preview import cloth_of, preview
from quiltpath.drawing import png, svg
from quiltpath.drawing.page_model import GREY, Drawing, Group, Item, Page, Raster, Text
from quiltpath.drawing.relief_view import LitView
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.near_view import near_picture, part_to_look_at
from quiltpath.jobs.one_job import Design, Job, JobOutput
from quiltpath.jobs.varying_layer import filled_area, varying_by_default
from quiltpath.language import message, say, say_known
from quiltpath.result.values import Result
from quiltpath.runner.states import FLAT_WORDS

KIND = "look"
PIXELS_PER_MM = 5.0
PALETTE = 256


def look(designs: Sequence[Design], distance_mm: float) -> JobOutput:
    """The runner near to and from ``distance_mm`` away."""
    result = designs[0].result
    shows = contrasts_of(result)
    rows = in_words(shows)
    told = look_report(result, shows, distance_mm)
    told["words"] = [list(row) for row in rows]
    files = look_files(result, shows, distance_mm)
    return JobOutput(title_of(result), files, told, rows, lambda: in_words(shows))


def contrasts_of(result: Result) -> tuple[ThreadContrast, ...]:
    """Thread on each cloth that there is, the one on which it shows least first."""
    cloth, width = cloth_of(result.project), result.project.look.thread_width
    patches = {message("the ground"): cloth.ground}
    if result.runner.blocks:
        patches[message("the blocks")] = cloth.block
    if result.runner.motifs:
        patches[message("the motifs")] = cloth.motif
    gap = typical_gap_mm(result)
    found = [
        thread_contrast(name, cloth.thread, colour, width, gap) for name, colour in patches.items()
    ]
    return tuple(sorted(found, key=lambda show: (show.ratio, show.patch)))


def typical_gap_mm(result: Result) -> float:
    """Mean distance of lines: the finished area over the length of line drawn on it."""
    length = sum(line.length for line in result.lines.geometry)
    return float(result.runner.outline.area) / length if length > 0 else 0.0


def look_files(
    result: Result, shows: tuple[ThreadContrast, ...], distance_mm: float
) -> tuple[OutputFile, ...]:
    """The sheet as a lit picture, and with plain lines as vectors."""
    drawing = far_view(result, shows, distance_mm)
    lit_page = as_quilted(result, drawing.pages[0], distance_mm)
    return (
        OutputFile("look.png", png.render(lit_page, PIXELS_PER_MM, colours=PALETTE), KIND),
        OutputFile("look.svg", svg.render(drawing, decimals=2), KIND),
    )


def look_report(
    result: Result, shows: tuple[ThreadContrast, ...], distance_mm: float
) -> dict[str, Any]:
    """The figures for other programs."""
    return {
        "distance_mm": distance_mm,
        "gap_mm": round(typical_gap_mm(result), 3),
        "cloths": [
            {
                **{k: round(v, 3) if isinstance(v, float) else v for k, v in asdict(show).items()},
                "words": show.words,
            }
            for show in shows
        ],
    }


def in_words(shows: tuple[ThreadContrast, ...]) -> list[tuple[str, str]]:
    """One row a cloth."""
    return [
        (
            say_known(show.patch),
            say(
                "{how}; seen as lines to about {metres:.0f} m",
                how=show.words,
                metres=show.as_lines_to_m,
            ),
        )
        for show in shows
    ]


READING_MM = 500.0
NEAR_MM = 160.0
"""Side of the square of cloth that is shown at true size."""

EDGE_MM = 12.0
TEXT_MM = 4.0
ROW_MM = 6.5


def title_of(result: Result) -> str:
    """The sheet's title."""
    return f"{result.project.title}: near and far"


def far_scale(distance_mm: float) -> float:
    """Scale of the far picture."""
    return READING_MM / distance_mm


def far_view(result: Result, shows: tuple[ThreadContrast, ...], distance_mm: float) -> Drawing:
    """One page: a part of the runner at true size, the whole as from afar, and the figures."""
    cloth = replace(cloth_of(result.project), thread_mm=result.project.look.thread_width)
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
    part = near_part(result)
    corner = whole_view(result.runner)
    middle = (
        (part.low_x + part.high_x) / 2 - corner.low_x,
        (part.low_y + part.high_y) / 2 - corner.low_y,
    )
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


def near_part(result: Result) -> LitView:
    """The part of the runner that is shown true to size."""
    layers = varying_by_default(result.project)
    filled = filled_area(result.project, result.runner, layers)
    side = min(NEAR_MM, whole_view(result.runner).height_mm)
    return part_to_look_at(result.runner, filled, side)


def as_quilted(result: Result, page: Page, distance_mm: float) -> Page:
    """The page of :func:`far_view` with lit pictures in place of its plain ones."""
    near, far, words = page.groups
    assert near.clip_mm is not None
    close = near_picture(result, replace(near_part(result), px_per_mm=PIXELS_PER_MM))
    low_x, low_y, high_x, _ = near.clip_mm
    side = min(high_x - low_x, close.shape[1] / PIXELS_PER_MM)
    scale = far_scale(distance_mm)
    view = whole_view(result.runner, PIXELS_PER_MM * scale)
    small = lit_part(result.relief.field, lit_cloth(result), view)
    (drawn,) = far.items
    assert isinstance(drawn, Group)
    x, y = drawn.shift_mm
    size = (view.high_x - view.low_x) * scale, (view.high_y - view.low_y) * scale
    pictures = (
        Raster((low_x, low_y, low_x + side, low_y + side), close, near.title),
        Raster((x, y, x + size[0], y + size[1]), small, far.title),
    )
    return replace(page, groups=(Group("as quilted", pictures), words))


def _words(
    result: Result, shows: tuple[ThreadContrast, ...], distance_mm: float, left: float, top: float
) -> Group:
    items: list[Item] = [
        Text((EDGE_MM, 0.4 * EDGE_MM), FLAT_WORDS, 0.8 * TEXT_MM, colour=GREY),
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
        text = f"on {show.patch}: {show.words}; seen as lines to about {show.as_lines_to_m:.0f} m"
        items.append(
            Text((EDGE_MM, y), text, TEXT_MM, colour=GREY if show.ratio < 1.5 else "#000000")
        )
    return Group("figures", tuple(items))


ARC_MINUTE = math.tan(math.radians(1 / 60))
"""An eye of normal acuity (1.0, ISO 8596, from memory) tells apart what is one arc minute wide."""

LEAST_SEEN = 0.05
"""Share by which a spot must be lighter or darker to be noticed in room light (a round figure)."""


@dataclass(frozen=True)
class ThreadContrast:
    """Thread on one cloth.

    ``ratio``        contrast ratio, 1 (none) to 21
    ``merge_m``      beyond this distance neighbouring lines cannot be told apart
    ``vanish_m``     beyond this distance a single line cannot be seen
    """

    patch: str
    ratio: float
    merge_m: float
    vanish_m: float

    @property
    def as_lines_to_m(self) -> float:
        """As far away as lines are seen as lines."""
        return min(self.merge_m, self.vanish_m)

    @property
    def words(self) -> str:
        """How the thread shows near to."""
        if self.ratio < 1.5:
            return say("blends in: hides a wobble, shows texture only")
        if self.ratio < 3:
            return say("shows softly")
        return say("stands out: every wobble shows")


def luminance(colour: str) -> float:
    """Relative luminance of ``#rrggbb``, 0 (black) to 1 (white)."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_ratio(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def thread_contrast(
    patch: str, thread: str, cloth: str, thread_mm: float, gap_mm: float
) -> ThreadContrast:
    """How thread of a width, in lines a gap apart, shows on a cloth.

    Two lines merge where their gap is seen under two arc minutes, one for a line and one for the
    cloth between. A line thinner than one arc minute is smeared over that, and its contrast with
    the cloth falls in proportion, until it is too little to be seen.
    """
    dark, light = sorted((luminance(thread), luminance(cloth)))
    difference = (light - dark) / light if light > 0 else 0.0
    vanish = thread_mm * difference / (ARC_MINUTE * LEAST_SEEN)
    return ThreadContrast(
        patch,
        contrast_ratio(thread, cloth),
        merge_m=gap_mm / (2 * ARC_MINUTE) / 1000,
        vanish_m=vanish / 1000,
    )


def _notes(told: ReportEntry) -> list[str]:
    metres = told["distance_mm"] / 1000
    lines = [
        say(
            "look.png shows the lines near to and from {metres:g} m, to be held 50 cm away.",
            metres=metres,
        )
    ]
    lines += [
        say("On {place}: {words}.", place=place, words=words) for place, words in told["words"]
    ]
    return bullet_points(lines)


LOOK = Job("look", look, message("FROM ACROSS THE ROOM"), _notes, options={"look": "--distance"})
