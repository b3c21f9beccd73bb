"""How many runs a drawing needs at least, counted by graph theory apart from the package."""

from __future__ import annotations

import networkx as nx
import numpy as np
import shapely


def fewest_runs(geometry: np.ndarray) -> int:
    """Euler: a connected piece with k odd nodes needs max(1, k / 2) runs.

    Nodes are the line ends and every place where lines meet or cross (as GEOS nodes them).
    """
    noded = shapely.get_parts(shapely.node(shapely.union_all(geometry)))
    graph = nx.MultiGraph()
    for part in noded:
        ends = np.round(shapely.get_coordinates(part)[[0, -1]], 5)
        graph.add_edge(*(tuple(end + 0.0) for end in ends))
    runs = 0
    for piece in nx.connected_components(graph):
        odd = sum(graph.degree(node) % 2 for node in piece)
        runs += max(1, odd // 2)
    return runs
