"""Networks of lines and ways written down by their nodes, for tests that need no drawing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from quiltpath.routing import PieceKind
from quiltpath.routing.edges import Edges
from quiltpath.routing.optional_edges import Network


def strands_as_long_as(lengths: Iterable[float], kind: PieceKind) -> Edges:
    """Straight edges laid end to end, told apart by nothing but their length."""
    size = np.array(list(lengths), dtype=float)
    ends = np.zeros((len(size), 2, 2))
    ends[:, 1, 0] = np.cumsum(size)
    ends[1:, 0, 0] = ends[:-1, 1, 0]
    return Edges(
        ends.reshape(-1, 2),
        2 * np.arange(len(size) + 1),
        np.arange(len(size), dtype=np.int32),
        np.full(len(size), kind, dtype=np.int8),
    )


def network_of(
    lines: Sequence[tuple[int, int]],
    ways: Sequence[tuple[int, int, float]],
    along_margin: Sequence[int] = (),
    nodes: int | None = None,
) -> Network:
    """Lines from node to node, and ways with their cost, each as many mm long as it costs.

    Ways are second passes over lines, but for those whose numbers are in ``along_margin``.
    """
    optional = strands_as_long_as((cost for _, _, cost in ways), PieceKind.RETRACE)
    optional.kind[list(along_margin)] = PieceKind.MARGIN
    node = np.array(lines, dtype=np.intp).reshape(-1, 2)
    optional_node = np.array([way[:2] for way in ways], dtype=np.intp).reshape(-1, 2)
    both = np.concatenate([node, optional_node])
    return Network(
        edges=strands_as_long_as([10.0] * len(lines), PieceKind.LINE),
        node=node,
        optional=optional,
        optional_node=optional_node,
        cost=np.array([cost for _, _, cost in ways], dtype=float),
        nodes=int(both.max(initial=-1)) + 1 if nodes is None else nodes,
        ring=np.zeros(0, dtype=np.intp),
        stubs=np.zeros(0, dtype=np.intp),
    )
