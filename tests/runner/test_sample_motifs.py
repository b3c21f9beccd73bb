"""The samples' motifs are shapes that can be cut out of cloth and sewn round."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path

import pytest
import shapely

from quiltpath.geometry.svg_shapes import SvgDrawing, read_svg

MOTIFS = sorted((Path(__file__).parents[2] / "samples").glob("*/*.svg"))
SIZE_MM = 200.0


def drawn(path: Path) -> SvgDrawing:
    return read_svg(path.read_bytes(), path.name, SIZE_MM)


@pytest.mark.parametrize("path", MOTIFS, ids=lambda path: path.stem)
def test_no_outline_crosses_itself_or_another(path: Path) -> None:
    outlines = drawn(path).outlines
    assert outlines
    assert all(line.is_ring for line in outlines)
    assert not any(shapely.crosses(a, b) for a, b in combinations(outlines, 2))


@pytest.mark.parametrize("path", MOTIFS, ids=lambda path: path.stem)
def test_every_outline_is_long_enough_for_six_stitches(path: Path) -> None:
    """From 18 mm up a line can be sewn within 3 to 3.5 mm."""
    drawing = drawn(path)
    low_x, low_y, high_x, high_y = shapely.total_bounds(drawing.outlines)
    scale = SIZE_MM / max(high_x - low_x, high_y - low_y)
    assert min(line.length for line in drawing.outlines) * scale > 18.0


@pytest.mark.parametrize("folder", ["harvest-supper", "galley", "allotment-ends"])
def test_every_sample_has_a_motif_with_a_hole(folder: str) -> None:
    shapes = [drawn(path).shape for path in MOTIFS if path.parent.name == folder]
    assert any(part.interiors for shape in shapes for part in shape.geoms)
