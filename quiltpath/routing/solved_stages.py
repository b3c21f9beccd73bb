"""Stages that are alike are solved once and placed: what lies in equal blocks, or did not change.

What the trails of a stage depend on is its ``StageProblem``. Two that differ by where they lie have
one signature: their vertices as seen from the first of them, to a millionth of a millimetre, and
whatever else the search for trails looks at. The edge of the cloth is part of it only for stages
that come near it, under policies to which it matters.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Generic, TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Geometries, Points, distinct, rounded_bytes
from quiltpath.routing.edges import Edges
from quiltpath.routing.nodes import nodes_of
from quiltpath.routing.rural_postman import Beside, TrailCover

Signature = tuple[bytes, ...]

Orders = list[list[NDArray[np.intp]]]
"""Sets of runs that are sewn one after the other, each with the orders it may be sewn in."""


@dataclass(frozen=True)
class StageProblem:
    """What the trails of one stage depend on, the policy and the like apart.

    ``edges``   to be sewn; those sewn ``before`` that they may touch
    ``curves``  at the clearance of motifs near by
    ``beside``  the regions before and after, where thread goes on
    ``around``  what else is part of the signature, empty for what may lie anywhere
    """

    edges: Edges
    before: Edges
    curves: Geometries
    beside: Beside | None
    around: Signature

    @cached_property
    def vertices(self) -> Points:
        """(n, 2) of edges and curves."""
        curves = shapely.get_coordinates(self.curves)
        return np.concatenate([self.edges.coordinates, self.before.coordinates, curves])

    @cached_property
    def lines(self) -> NDArray[np.int32]:
        """(k,) the lines that the edges are stretches of, ascending."""
        return distinct(np.concatenate([self.edges.line, self.before.line]))

    @property
    def place(self) -> bytes:
        """Where exactly it lies."""
        return self.vertices.tobytes() + b"".join(
            shapely.get_coordinates(shape).tobytes() for shape in self.beside or ()
        )

    def signature(self, retraceable: NDArray[np.bool_]) -> Signature:
        """The same for problems whose trails are the same but for where they lie."""
        origin = self.vertices[0]
        beside = [shapely.get_coordinates(shape) for shape in self.beside or ()]
        lengths = [len(self.edges), len(self.vertices), self.beside is None, *map(len, beside)]
        places = np.concatenate([self.vertices, *beside]) - origin
        parts = (
            np.array(lengths),
            self.edges.start,
            self.before.start,
            shapely.get_num_coordinates(self.curves),
            np.searchsorted(self.lines, np.concatenate([self.edges.line, self.before.line])),
            retraceable[self.lines],
            self.edges.kind,
            self.before.kind,
        )
        return (rounded_bytes(places), *(part.tobytes() for part in parts), *self.around)


@dataclass(frozen=True)
class _Solved:
    problem: StageProblem
    cover: TrailCover

    @cached_property
    def source(self) -> NDArray[np.intp]:
        """(m,) vertex of the problem that each vertex of the trails is, -1 for one that is new."""
        known = len(self.problem.vertices)
        node = nodes_of(np.concatenate([self.problem.vertices, self.cover.edges.coordinates]))
        first = np.full(int(node.max()) + 1, -1, dtype=np.intp)
        first[node[:known][::-1]] = np.arange(known)[::-1]
        return first[node[known:]]

    def placed(self, problem: StageProblem) -> TrailCover:
        """The trails of another ``problem`` with the same signature."""
        if problem is self.problem:
            return self.cover
        shift = problem.vertices[0] - self.problem.vertices[0]
        edges, gaps = self.cover.edges, self.cover.gaps.copy()
        known = (self.source >= 0)[:, None]
        places = np.where(known, problem.vertices[self.source], edges.coordinates + shift)
        gaps[:, 1:3] += shift
        gaps[:, 3] = self._lines(gaps[:, 3].astype(np.int32), problem)
        edges = replace(edges, coordinates=places, line=self._lines(edges.line, problem))
        return replace(self.cover, edges=edges, gaps=gaps)

    def _lines(self, line: NDArray[np.int32], problem: StageProblem) -> NDArray[np.int32]:
        """The lines of the other problem in the place of these, -1 for none."""
        rank = np.searchsorted(self.problem.lines, np.maximum(line, self.problem.lines[0]))
        return np.where(line >= 0, problem.lines[rank], line)


Value = TypeVar("Value")


class _Kept(Generic[Value]):
    """Values by what they depend on: those of this search, and what an ``earlier`` one left.

    What was found at another place may differ where two answers are equally good; so of the
    earlier search only what it found at the very same place is taken over, and the answer does not
    depend on what was asked before.
    """

    def __init__(self, earlier: _Kept[Value] | None) -> None:
        self._earlier = earlier._mine if earlier is not None else {}
        self._mine: dict[Signature, tuple[bytes, Value]] = {}

    def get(self, signature: Signature, place: bytes, find: Callable[[], Value]) -> Value:
        if signature not in self._mine:
            kept = self._earlier.get(signature)
            self._mine[signature] = (
                kept if kept is not None and kept[0] == place else (place, find())
            )
        return self._mine[signature][1]


class SolvedStages:
    """Trails of stages, and orders of the runs in one, by all that they depend on.

    What is asked of it again is not searched again. It is given to one search and may take over
    from an ``earlier`` one; only what was asked for is kept for the next.
    """

    def __init__(self, earlier: SolvedStages | None = None) -> None:
        self._covers: _Kept[_Solved] = _Kept(earlier._covers if earlier else None)
        self._orders: _Kept[Orders] = _Kept(earlier._orders if earlier else None)

    def cover(
        self,
        problem: StageProblem,
        retraceable: NDArray[np.bool_],
        solve: Callable[[StageProblem], TrailCover],
    ) -> TrailCover:
        """The trails of the ``problem``, as ``solve`` finds them for the first of its kind."""
        signature = problem.signature(retraceable)
        found = self._covers.get(signature, problem.place, lambda: _Solved(problem, solve(problem)))
        return found.placed(problem)

    def orders(self, signature: Signature, place: bytes, find: Callable[[], Orders]) -> Orders:
        """The orders that ``find`` finds for the first of that signature, at ``place``."""
        return self._orders.get(signature, place, find)
