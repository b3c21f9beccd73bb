"""Equal blocks between equal strips, laid through steps that were seen along one direction.

What a print repeats is known: blocks of one size at one distance. The arrangement that most of
the seen steps bear out is searched for among all that three of them suggest; steps that belong to
no block are left out, and a block's edge that was hardly seen is put where it must be.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.photo.reading import Points

MOST_BLOCKS = 24
"""Along one direction."""

NEUTRAL = 0.22
"""A predicted edge counts against an arrangement if the step there is fainter than this share of
the strongest."""

STRONG, LEFT_OUT = 0.5, 0.5
"""Steps at least as strong should belong to a block; so much of their strength counts if not."""

LEAST_STRIP_MM = 3.0

WIDEST_STRIP = 0.7
"""Of a block."""


@dataclass(frozen=True)
class Stripes:
    """``edges_mm`` (2 n,) where n blocks start and end; ``score`` above 0 where steps bear it out.

    ``nearest``  (2 n,) index of the step that belongs to each edge, -1 where there is none
    """

    edges_mm: Points
    nearest: NDArray[np.intp]
    score: float


def arrange_stripes(at_mm: Points, strength: Points, size_mm: float) -> Stripes | None:
    """The best arrangement of blocks over steps ``at_mm`` (n,), ascending, ``strength`` 0 to 1.

    ``size_mm`` is the whole: a block may also start or end at the panel's edge, where no step is
    needed. None where no step is borne out.
    """
    places = np.concatenate([[0.0], at_mm, [size_mm]])
    weight = np.concatenate([[NEUTRAL], strength, [NEUTRAL]])
    best: tuple[float, Points] | None = None
    for edges in _suggested(places):
        score = _scores(edges, places, weight)
        top = int(np.argmax(score))
        if best is None or score[top] > best[0] + 1e-9:
            best = float(score[top]), edges[top]
    if best is None:
        return None
    nearest = _match(best[1][None], places)[0] - 1
    nearest[nearest >= len(at_mm)] = -1
    if not (nearest >= 0).any():
        return None
    return Stripes(best[1], nearest, best[0])


def _suggested(places: Points) -> list[Points]:
    """For each number of blocks, all arrangements from first start, first end and last end."""
    n = len(places)
    triples = [(i, j, k) for i in range(n) for j in range(i + 1, n) for k in range(j + 1, n)]
    first, end, last = places[np.array(triples, dtype=np.intp).reshape(-1, 3)].T
    pairs = np.array([(i, j) for i in range(n) for j in range(i + 1, n)])
    out = [places[pairs]]
    block = end - first
    for number in range(2, MOST_BLOCKS + 1):
        pitch = (last - first - block) / (number - 1)
        strip = pitch - block
        fits = (strip >= LEAST_STRIP_MM) & (strip <= WIDEST_STRIP * block)
        starts = first[fits, None] + np.arange(number) * pitch[fits, None]
        edges = np.stack([starts, starts + block[fits, None]], axis=2)
        out.append(edges.reshape(-1, 2 * number))
    return [kept for edges in out if len(kept := _filling(edges, places[-1]))]


def _filling(edges: Points, size_mm: float) -> Points:
    """Those that leave no more at either end than a strip may be wide."""
    block = edges[:, 1] - edges[:, 0]
    left = np.maximum(edges[:, 0], size_mm - edges[:, -1])
    return edges[left <= WIDEST_STRIP * block]


def _tolerance(edges: Points) -> Points:
    """Prints are not quite even: so far may an edge lie from where evenness would put it."""
    block = edges[:, 1] - edges[:, 0]
    out: Points = np.clip(0.02 * block, 1.5, 6.0)
    return out


def _match(edges: Points, places: Points) -> NDArray[np.intp]:
    """Index of the place nearest to each edge, -1 where none is near."""
    right = np.clip(np.searchsorted(places, edges), 1, len(places) - 1)
    nearest = np.where(edges - places[right - 1] < places[right] - edges, right - 1, right)
    near = np.abs(places[nearest] - edges) <= _tolerance(edges)[:, None]
    return np.where(near, nearest, -1)


def _scores(edges: Points, places: Points, weight: Points) -> Points:
    """What the edges find, less what they miss, less strong steps inside that they leave out."""
    nearest = _match(edges, places)
    found = np.where(nearest >= 0, weight[nearest], 0.0) - NEUTRAL
    off = np.where(nearest >= 0, np.abs(places[nearest] - edges), 0.0) / _tolerance(edges)[:, None]
    score = (found - 0.1 * off).sum(axis=1)
    strong = np.where(weight > STRONG, weight, 0.0)
    explained = np.where(nearest >= 0, strong[nearest], 0.0).sum(axis=1)
    score -= LEFT_OUT * np.maximum(strong.sum() - explained, 0)
    even = np.abs(edges[:, 0] - (places[-1] - edges[:, -1])) < 2 * _tolerance(edges)
    out: Points = score + 0.1 * even
    return out
