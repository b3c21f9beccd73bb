"""Whatever figures a layer is given, its lines can be sewn or the fault is told."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from shapely.geometry import Polygon, box

from quiltpath.errors import InputError
from quiltpath.geometry import named_outlines as outlines
from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from quiltpath.patterns import draw
from quiltpath.patterns.kinds import KINDS
from tests.patterns.runners import disc, layer

DISTANCES = ["3 mm", "about 8 mm", "25 mm", "about 60 mm", "500 mm"]
NAMED = ("spacing", "size", "repeat", "wave", "joint", "leg")
WORDS = sorted(word for word, kind in KINDS.items() if "file" not in kind.model.model_fields)
"""All kinds but those that need a file."""

OUTLINES = [
    outlines.rectangle(900, 300),
    outlines.oval(900, 300),
    outlines.pointed(900, 300, 90),
    outlines.rectangle(90, 30),
    outlines.rectangle(300, 900),
]


def runner_on(shape: Polygon, motifs: int) -> Runner:
    """A block, a strip, a border and some discs on any outline."""
    _, _, length, width = shape.bounds
    parts = {
        "A1": (RegionKind.BLOCK, box(length * 0.1, width * 0.1, length * 0.4, width * 0.9)),
        "strip": (RegionKind.SASHING, box(length * 0.4, 0, length * 0.5, width)),
    }
    regions = tuple(
        Region(name, kind, part.intersection(shape)) for name, (kind, part) in parts.items()
    )
    discs = tuple(
        disc(length * (0.3 + 0.2 * i), width / 2, min(length, width) * 0.1, place=str(i))
        for i in range(motifs)
    )
    return Runner(shape, regions=regions, motifs=discs, margin_mm=20.0)


@settings(max_examples=60, deadline=None)
@given(data=st.data(), kind=st.sampled_from(WORDS), outline=st.sampled_from(OUTLINES))
def test_lines_are_finite_sewable_and_within_the_wadding(
    data: st.DataObject, kind: str, outline: Polygon
) -> None:
    fields = KINDS[kind].model.model_fields
    keys = {name: data.draw(st.sampled_from(DISTANCES)) for name in NAMED if name in fields}
    keys["region"] = data.draw(st.sampled_from(["runner", "A1", "strip", "outside motifs"]))
    for name, values in {
        "angle": [0, 10, 45, 80],
        "inset": [0, 5, 200],
        "clearance": [0, 5, 200],
        "turned": [True, False],
        "anchor": ["centre", "edge", "halfway", -300],
    }.items():
        if name in fields and data.draw(st.booleans()):
            keys[name] = data.draw(st.sampled_from(values))
    runner = runner_on(outline, data.draw(st.integers(0, 3)))
    try:
        lines = draw(runner, [layer(kind, **keys)]).geometry
    except (InputError, ValidationError) as fault:
        assert str(fault)
        return
    assert np.isfinite(shapely.get_coordinates(lines)).all()
    assert (shapely.length(lines) > 0).all()
    assert shapely.covers(runner.outline.buffer(20.01), lines).all()
