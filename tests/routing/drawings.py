"""Random planar drawings for property tests."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.patterns import Lines
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import Policy

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
    """Straight lines and rings anywhere, crossing, touching and overlapping as they come.

    Rings of different sizes are turned against each other, so that no two of them share a side to
    within rounding, where an exact and a tolerant reading of the drawing would differ.
    """
    straight = draw(st.lists(st.tuples(spot, spot).filter(lambda p: p[0] != p[1]), max_size=8))
    rings = draw(
        st.lists(st.tuples(spot, st.integers(5, 60)), max_size=6, min_size=0 if straight else 1)
    )
    shapes = [LineString(ends) for ends in straight]
    for (x, y), radius in rings:
        turn = np.linspace(0, 2 * np.pi, 25) + 0.37 * radius
        ring = np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])
        ring[-1] = ring[0]
        shapes.append(LineString(ring))
    return layer_lines(shapes, name="tangle", retraceable=draw(st.booleans()))


policies = st.builds(
    Policy,
    margin=st.booleans(),
    margin_cost=st.sampled_from([0.0, 0.5, 2.0]),
    retrace=st.booleans(),
    retrace_cost=st.sampled_from([0.0, 1.0, 3.0]),
    retrace_cap_mm=st.sampled_from([0.0, 50.0, 1e5]),
    jump_cost=st.sampled_from([0.0, 10.0, 200.0, 1e5]),
    roles=st.sampled_from(["mixed", "hold-first", "one-by-one"]),
    starts_first=st.booleans(),
    order=st.sampled_from(["centre-outwards", "nearest", "least-travel"]),
    direction=st.sampled_from(["one-way", "there-and-back", "any"]),
    start=st.sampled_from(["lower-left", "lower-right", "upper-left", "upper-right"]),
)
"""Policies that a user could write."""

outlines = st.sampled_from(
    [
        FINISHED,
        Polygon([(0, 0), (300, 0), (400, 100), (300, 200), (0, 200)]),
        Polygon([(0, 0), (400, 0), (400, 200), (210, 200), (205, 60), (200, 200), (0, 200)]),
        Point(200, 100).buffer(100, quad_segs=32),
    ]
)
"""A rectangle, one with a point, one with a deep notch, and a round."""
