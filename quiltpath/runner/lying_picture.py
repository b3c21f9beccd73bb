"""A quilted piece as it will lie, with its unevenness exaggerated: outline and quilting lines."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely

from quiltpath.drawing.page_model import GREY, INK, Line, Style, Text
from quiltpath.drawing.sketch import CLOTH, Picture, PictureRoom
from quiltpath.geometry.arrays import Floats, Geometries, Points
from quiltpath.language import message, say, say_known
from quiltpath.runner.runner_picture import many

TIMES = {
    10: message("drawn ten times as uneven as it will lie"),
    5: message("drawn five times as uneven as it will lie"),
    2: message("drawn twice as uneven as it will lie"),
    1: message("drawn as it will lie"),
}
"""How much the unevenness is exaggerated: ten times, or less where that would leave the page."""
MOST_SHARE = 0.5
"""Of the width: further than this an edge is not drawn away from its place."""

SIMPLE_MM, STEP_MM = 1.5, 60.0
"""Lines are drawn to so much on the cloth, and bent at every so many."""
FINE_MM, MOST_POINTS = 0.1, 2000
"""Less is not seen in the picture. With more points than so many it would only be grey: there the
outline says all, and the file stays small."""

EVEN = Style(GREY, 0.35, (1.4, 1.0))
QUILTING = Style(GREY, 0.15)
OUTLINE = Style(INK, 0.5, (), CLOTH.fill)

Move = Callable[[Points], Points]
"""From (n, 2) points of the flat top to (n, 2) mm."""


def lying_picture(
    ring: Points, lines: Geometries, even: Move, off: Move, room: PictureRoom
) -> Picture:
    """The piece on its outline, dashed, as it would be if it were drawn up evenly.

    ``ring`` (n, 2) and ``lines`` lie on the flat top; ``even`` says where points of it come to
    lie if it is drawn up evenly, ``off`` how far from there they will lie.
    """
    times = _times(even(ring), off(ring))

    def drawn(flat: Points) -> Points:
        return even(flat) + times * off(flat)

    both = np.concatenate([even(ring), drawn(ring)])
    box = (*both.min(axis=0).tolist(), *both.max(axis=0).tolist())
    letter = room.letter_mm
    view = room.view(box, pad_mm=letter, foot_mm=2.6 * letter)
    bent = _few_points(lines, lambda flat: view.points(drawn(flat)))
    items = (
        Line(view.points(drawn(ring)), OUTLINE, closed=True),
        many(bent, QUILTING),
        Line(view.points(even(ring)), EVEN, closed=True),
        Text((room.width_mm / 2, 0.5 * letter), say_known(TIMES[times]), letter, "middle"),
    )
    foot = say_known(TIMES[times])
    shows = say("quilted, before it is squared up; {drawn}; dashed as if it lay even", drawn=foot)
    state = message("quilted: as it lies before squaring up")
    return Picture("how it lies", room.width_mm, view.height_mm, items, shows, state)


def _times(even: Points, off: Floats) -> int:
    most = MOST_SHARE * float(np.ptp(even, axis=0).min())
    farthest = float(np.hypot(*off.T).max())
    return next((times for times in TIMES if times * farthest <= most), 1)


def _few_points(lines: Geometries, move: Move) -> Geometries:
    """The lines in the picture, or none where they are too many to be told apart."""
    simple = shapely.segmentize(_simplified(lines, SIMPLE_MM), STEP_MM)
    bent = _simplified(shapely.transform(simple, move), FINE_MM)
    few = shapely.get_num_coordinates(bent).sum() <= MOST_POINTS
    return np.asarray(bent) if few else bent[:0]


def _simplified(lines: Geometries, mm: float) -> Geometries:
    """Douglas and Peucker's: lines may come to touch, which in a picture they do anyway."""
    return np.asarray(shapely.simplify(lines, mm, preserve_topology=False))
