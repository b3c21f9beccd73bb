"""How large the flat top must be: the states of one runner, settled before it is quilted.

How much quilting draws up depends on how dense it is, and how dense it is depends on the top on
which it is drawn. So the lines are drawn on a top as large as dense quilting asks for, then on the
one that their own density asks for, until the share stays where it is: a fixed point, met at the
second or third pass, since a density hardly changes with the size of the cloth. Where lines take
long to draw, a guess of their density stands for the first pass, and a share that comes as near as
curves let it is settled: one that flows finds room or not by a hair, so that there may be no fixed
point at all.
"""

from __future__ import annotations

from collections.abc import Callable

from quiltpath.materials.draw_up import DENSE_M_PER_M2, draw_up_setting
from quiltpath.project import Project
from quiltpath.runner.outlines import finished_outline
from quiltpath.runner.states import Pair, Size, States, share_kept

Drawing = Callable[[Pair], tuple[Size, float]]
"""Draws the lines on a top of which so much is left in use: its flat size, and m of line per m²."""

SETTLED_SHARE = 5e-4
NEAR_SHARE = 1.5e-3
"""A mm or so of a metre: far less than how well the usual curve foretells what quilting takes."""

MOST_PASSES = 3


def settle(project: Project, drawing: Drawing, guess: Drawing | None = None) -> tuple[States, Pair]:
    """The states of ``project``, and what is left in use of the top on which they were settled.

    ``guess`` tells without drawing what ``drawing`` would, roughly.
    """
    setting = draw_up_setting(project.quilted, project.swatch)
    used, washing = project.runner.size_is, setting.washing
    found, near = setting.quilting(DENSE_M_PER_M2), SETTLED_SHARE
    if guess is not None:
        _, density = guess(share_kept(used, (found, found), (washing, washing)))
        found, near = setting.quilting(density), NEAR_SHARE
    for _ in range(MOST_PASSES):
        share = found
        left = share_kept(used, (share, share), (washing, washing))
        flat, density = drawing(left)
        found = setting.quilting(density)
        if abs(found.likely - share.likely) < near:
            break
    _, _, long, wide = finished_outline(project).bounds
    wished = Size(float(long), float(wide))
    return States(flat, wished, used, (share, share), (washing, washing), setting.by), left
