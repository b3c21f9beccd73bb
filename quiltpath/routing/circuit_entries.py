"""Where closed runs begin: at the vertex that lies best between the runs before and after.

In a given order the best entries are a shortest path through layers of vertices (dynamic
programming, Bellman 1957), over ``CANDIDATES`` vertices a circuit and then each circuit once more
over all of its own. Time grows with the number of circuits times ``CANDIDATES`` squared.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from quiltpath.routing.trail_table import DIGITS, Circuits

CANDIDATES = 48
APPROACH = 1e-3
"""weight of the distance to the first run against travel between runs: a tie-break, no more"""


def choose_entries(
    order: NDArray[np.intp],
    ends: NDArray[np.float64],
    circuits: Circuits,
    begin: NDArray[np.float64] | None,
) -> NDArray[np.float64]:
    """(k, 2) a vertex for each circuit, so that travel in the given order is least.

    Layer by layer over evenly chosen vertices of each circuit, then each circuit again over all
    its vertices between its neighbours. ``order`` and ``ends`` as in ``sewing_order``; ``begin`` is
    the corner where sewing starts: among equal choices the first run begins near it.
    """
    circuit_of_run = np.full(len(ends), -1, dtype=np.intp)
    circuit_of_run[circuits.run] = np.arange(len(circuits.run))
    places = np.flatnonzero(circuit_of_run[order >> 1] >= 0)
    entry = np.zeros((len(circuits.run), 2))
    spots = ends.reshape(-1, 2)
    for chain in np.split(places, np.flatnonzero(np.diff(places) > 1) + 1):
        if not len(chain):
            continue
        numbers = circuit_of_run[order[chain] >> 1]
        before = spots[order[chain[0] - 1] ^ 1] if chain[0] > 0 else None
        after = spots[order[chain[-1] + 1]] if chain[-1] + 1 < len(order) else None
        corner = begin if chain[0] == 0 else None
        entry[numbers] = _chain(circuits, numbers, before, after, corner)
    return entry


def _chain(
    circuits: Circuits,
    numbers: NDArray[np.intp],
    before: NDArray[np.float64] | None,
    after: NDArray[np.float64] | None,
    corner: NDArray[np.float64] | None,
) -> NDArray[np.float64]:
    """Entries of circuits that follow one another, from ``before`` to ``after``."""
    layers = [_thin_out(circuits.of(int(number))) for number in numbers]
    cost = np.zeros(len(layers[0])) if before is None else _away(layers[0], before)
    if corner is not None:
        cost = cost + APPROACH * _away(layers[0], corner)
    came = []
    for one, two in itertools.pairwise(layers):
        total = cost[:, None] + np.hypot(*np.moveaxis(one[:, None, :] - two[None, :, :], 2, 0))
        came.append(np.round(total, DIGITS).argmin(axis=0))
        cost = total.min(axis=0)
    last = _cheapest(cost if after is None else cost + _away(layers[-1], after))
    chosen = [last]
    for back in reversed(came):
        chosen.append(int(back[chosen[-1]]))
    entry = np.array([layer[at] for layer, at in zip(layers, reversed(chosen), strict=True)])
    return _refine_entries(circuits, numbers, entry, before, after, corner)


def _refine_entries(
    circuits: Circuits,
    numbers: NDArray[np.intp],
    entry: NDArray[np.float64],
    before: NDArray[np.float64] | None,
    after: NDArray[np.float64] | None,
    corner: NDArray[np.float64] | None,
) -> NDArray[np.float64]:
    """Each entry once more over all vertices of its circuit, its neighbours as they are."""
    for place, number in enumerate(numbers):
        points = circuits.of(int(number))
        left = before if place == 0 else entry[place - 1]
        right = after if place + 1 == len(numbers) else entry[place + 1]
        cost = np.zeros(len(points))
        for spot in (left, right):
            if spot is not None:
                cost += _away(points, spot)
        if place == 0 and corner is not None:
            cost += APPROACH * _away(points, corner)
        entry[place] = points[_cheapest(cost)]
    return entry


def _cheapest(cost: NDArray[np.float64]) -> int:
    """The first of those that cost the same, but for last digits."""
    return int(np.round(cost, DIGITS).argmin())


def _thin_out(points: NDArray[np.float64]) -> NDArray[np.float64]:
    return points[:: -(-len(points) // CANDIDATES)]


def _away(points: NDArray[np.float64], spot: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.hypot(points[:, 0] - spot[0], points[:, 1] - spot[1])
