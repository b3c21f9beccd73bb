"""Random planar drawings for property tests."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from shapely.geometry import LineString, box

from quiltpath.quilting.lines import Lines, layer_lines

FINISHED = box(0, 0, 400, 200)
MARGIN_MM = 30.0

spot = st.tuples(st.integers(0, 10), st.integers(0, 5)).map(lambda p: (40.0 * p[0], 40.0 * p[1]))


@st.composite
def meshes(draw: st.DrawFn) -> Lines:
    """Lines between neighbouring points of a lattice: they meet at ends and never elsewhere."""
    steps = [((1, 0)), ((0, 1))]
    chosen = draw(
        st.sets(st.tuples(st.integers(0, 8), st.integers(0, 4), st.integers(0, 1)), min_size=1)
    )
    shapes = []
    for x, y, way in sorted(chosen):
        dx, dy = steps[way]
        ends = [(40.0 * x, 40.0 * y), (40.0 * (x + dx), 40.0 * (y + dy))]
        shapes.append(LineString(ends[::-1] if draw(st.booleans()) else ends))
    return layer_lines(shapes, name="mesh", retraceable=draw(st.booleans()))


@st.composite
def tangles(draw: st.DrawFn) -> Lines:
    """Straight lines and rings anywhere, crossing, touching and overlapping as they come."""
    straight = draw(st.lists(st.tuples(spot, spot).filter(lambda p: p[0] != p[1]), max_size=8))
    rings = draw(
        st.lists(st.tuples(spot, st.integers(5, 60)), max_size=6, min_size=0 if straight else 1)
    )
    shapes = [LineString(ends) for ends in straight]
    for (x, y), radius in rings:
        turn = np.linspace(0, 2 * np.pi, 25)
        ring = np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])
        ring[-1] = ring[0]
        shapes.append(LineString(ring))
    return layer_lines(shapes, name="tangle", retraceable=draw(st.booleans()))
