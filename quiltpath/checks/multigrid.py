"""Full multigrid for a membrane held along lines, in numpy.

Red-black Gauss-Seidel on every grid; nodes between those of the coarser grid take their values by
the equation itself, so that nothing is carried across a line (Dendy 1982, "Black box multigrid",
J. Comput. Phys. 48), and residuals go down by the transpose. Each grid has its own equation with
the lines where they truly are. Solving begins on the coarsest grid (Brandt 1977, "Multi-level
adaptive solutions to boundary-value problems", Math. Comp. 31).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from quiltpath.checks.membrane import Floats, Links

RED, BLACK = ((1, 1), (2, 2)), ((1, 2), (2, 1))
COARSEST_SWEEPS = 40


def solve_membrane(levels: Sequence[Links], cell_mm: float, cycles: int) -> Floats:
    """(rows, columns) u in mm² with -laplace(u) = 1, float32.

    ``levels`` from the finest grid to the coarsest, each of every second node of the one before;
    ``cell_mm`` of the finest; ``cycles`` V-cycles on each grid.
    """
    height = np.zeros(levels[-1].active.shape, dtype=np.float32)
    for depth in reversed(range(len(levels))):
        here = levels[depth:]
        load = here[0].active * np.float32((cell_mm * 2**depth) ** 2)
        if depth < len(levels) - 1:
            height = interpolate(height, here[0])
        for _ in range(cycles):
            height = _v_cycle(here, height, load)
    return height


def residual(links: Links, height: Floats, load: Floats) -> Floats:
    """load - A height on active nodes."""
    left = load - (links.along + links.across) * height
    pull = links.east[:, :-1] * height[:, 1:]
    left[:, :-1] += pull
    left[:, 1:] += links.east[:, :-1] * height[:, :-1]
    left[:-1] += links.north[:-1] * height[1:]
    left[1:] += links.north[:-1] * height[:-1]
    left *= links.active
    return left


def interpolate(coarse: Floats, links: Links) -> Floats:
    """Values of the coarser grid carried to all nodes: along rows and columns, then between."""
    fine = np.zeros(links.active.shape, dtype=np.float32)
    fine[::2, ::2] = coarse * links.active[::2, ::2]
    east, north = links.east, links.north
    fine[::2, 1::2] = links.inverse_along[::2, 1::2] * (
        east[::2, :-1:2] * fine[::2, :-1:2] + east[::2, 1::2] * fine[::2, 2::2]
    )
    fine[1::2, ::2] = links.inverse_across[1::2, ::2] * (
        north[:-1:2, ::2] * fine[:-1:2, ::2] + north[1::2, ::2] * fine[2::2, ::2]
    )
    fine[1::2, 1::2] = links.inverse[1::2, 1::2] * (
        east[1::2, :-1:2] * fine[1::2, :-1:2]
        + east[1::2, 1::2] * fine[1::2, 2::2]
        + north[:-1:2, 1::2] * fine[:-1:2, 1::2]
        + north[1::2, 1::2] * fine[2::2, 1::2]
    )
    return fine


def restrict(left: Floats, links: Links) -> Floats:
    """The transpose of :func:`interpolate`: residuals gathered on the coarser grid."""
    east, north = links.east, links.north
    middle = links.inverse[1::2, 1::2] * left[1::2, 1::2]
    on_rows, on_columns = left[::2, 1::2].copy(), left[1::2, ::2].copy()
    on_columns[:, :-1] += east[1::2, :-1:2] * middle
    on_columns[:, 1:] += east[1::2, 1::2] * middle
    on_rows[:-1] += north[:-1:2, 1::2] * middle
    on_rows[1:] += north[1::2, 1::2] * middle
    on_rows *= links.inverse_along[::2, 1::2]
    on_columns *= links.inverse_across[1::2, ::2]
    coarse = left[::2, ::2].copy()
    coarse[:, :-1] += east[::2, :-1:2] * on_rows
    coarse[:, 1:] += east[::2, 1::2] * on_rows
    coarse[:-1] += north[:-1:2, ::2] * on_columns
    coarse[1:] += north[1::2, ::2] * on_columns
    return coarse


def _v_cycle(levels: Sequence[Links], height: Floats, load: Floats) -> Floats:
    links = levels[0]
    if len(levels) == 1:
        for _ in range(COARSEST_SWEEPS):
            _sweep(links, height, load)
        return height
    _sweep(links, height, load)
    below = levels[1]
    pushed = restrict(residual(links, height, load), links) * below.active
    change = _v_cycle(levels[1:], np.zeros_like(pushed), pushed)
    height += interpolate(change, links)
    _sweep(links, height, load)
    return height


def _sweep(links: Links, height: Floats, load: Floats) -> None:
    """One Gauss-Seidel sweep in place, red nodes before black ones."""
    rows, columns = height.shape
    for j, i in (*RED, *BLACK):
        at = np.s_[j : rows - 1 : 2, i : columns - 1 : 2]
        east_of = np.s_[j : rows - 1 : 2, i + 1 : columns : 2]
        west_of = np.s_[j : rows - 1 : 2, i - 1 : columns - 2 : 2]
        north_of = np.s_[j + 1 : rows : 2, i : columns - 1 : 2]
        south_of = np.s_[j - 1 : rows - 2 : 2, i : columns - 1 : 2]
        pull = links.east[at] * height[east_of]
        pull += links.east[west_of] * height[west_of]
        pull += links.north[at] * height[north_of]
        pull += links.north[south_of] * height[south_of]
        pull += load[at]
        pull *= links.inverse[at]
        height[at] = pull
