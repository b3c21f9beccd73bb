"""What holds for every pattern of the repertoire."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from scipy.spatial import cKDTree
from shapely.geometry import box

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from tests.patterns.paths import fewest_runs
from tests.patterns.runners import FIGURES, drawn, layer, plain, pointed

BLOCK, STRIP = box(40, 40, 290, 290), box(310, 40, 370, 290)
BORDER = box(0, 0, 900, 400).difference(box(60, 60, 840, 340))
PATTERNS = sorted(FIGURES)
IN_BANDS = [n for n in PATTERNS if FIGURES[n].model.model_fields["region"].default != "runner"]
"""Those that are laid along sashing unless the layer says otherwise."""

CENTRED = [
    "waves", "serpentine", "switchback", "clamshells", "fans", "orange-peel", "overlapping-circles",
    "interlocking-squares", "nested-hexagons", "basket-weave", "spiral", "square-spiral",
    "concentric", "radiating", "one-line-crosshatch",
]  # fmt: skip
WIDE: dict[str, dict[str, object]] = {
    "stipple": {"spacing": 35}, "field-lines": {"spacing": 35}, "pebbles": {"size": 55},
    "shape-spiral": {"spacing": 30},
}  # fmt: skip
"""Wider than usual over a whole runner, for the time that it takes."""
ONE_PATH = [name for name in PATTERNS if FIGURES[name].one_path]


def quilt() -> Runner:
    """A runner with one block, one upright strip and a border."""
    regions = (
        Region("A1", RegionKind.BLOCK, BLOCK),
        Region("strip", RegionKind.SASHING, STRIP),
        Region("border", RegionKind.BORDER, BORDER),
    )
    return Runner(box(0, 0, 900, 400), regions=regions, margin_mm=76.2)


@pytest.mark.parametrize("name", PATTERNS)
@pytest.mark.parametrize(("region", "shape"), [("A1", BLOCK), ("strip", STRIP)])
def test_a_pattern_stays_in_its_region(name: str, region: str, shape: object) -> None:
    lines = drawn(quilt(), name, region=region)
    assert len(lines)
    assert shapely.covers(shape.buffer(1e-5), lines.geometry).all()


@pytest.mark.parametrize("name", CENTRED)
@pytest.mark.parametrize(("region", "shape"), [("A1", BLOCK), ("strip", STRIP)])
def test_whole_figures_leave_the_same_border_on_both_sides(
    name: str, region: str, shape: object
) -> None:
    lines = drawn(quilt(), name, region=region)
    low_x, low_y, high_x, high_y = shapely.total_bounds(lines.geometry)
    left, below = low_x - shape.bounds[0], low_y - shape.bounds[1]
    right, above = shape.bounds[2] - high_x, shape.bounds[3] - high_y
    assert left == pytest.approx(right, abs=0.05)
    assert below == pytest.approx(above, abs=0.05)


@pytest.mark.parametrize("name", ONE_PATH)
@pytest.mark.parametrize("region", ["A1", "strip"])
def test_what_is_promised_as_one_path_is_one_path(name: str, region: str) -> None:
    lines = drawn(quilt(), name, region=region)
    figures = len(lines) if FIGURES[name].cells else 1
    assert fewest_runs(lines.geometry) == figures


@pytest.mark.parametrize(
    "name", [n for n in ONE_PATH if not FIGURES[n].cells and n not in IN_BANDS]
)
def test_one_path_over_a_whole_runner(name: str) -> None:
    assert fewest_runs(drawn(plain(1200, 320), name, **WIDE.get(name, {})).geometry) == 1


@pytest.mark.parametrize("strands", [2, 3, 4])
@pytest.mark.parametrize("region", ["strip", "border"])
def test_a_cable_or_plait_is_one_path(strands: int, region: str) -> None:
    assert fewest_runs(drawn(quilt(), "cable", region=region, strands=strands).geometry) == 1


def test_a_vine_round_a_border_is_one_path() -> None:
    assert fewest_runs(drawn(quilt(), "leaf-vine", region="border").geometry) == 1


@pytest.mark.parametrize("name", PATTERNS)
def test_a_shaped_end_cuts_the_pattern_to_its_outline(name: str) -> None:
    lines = drawn(pointed(), name, region="runner", **WIDE.get(name, {}))
    assert shapely.covers(pointed().outline.buffer(1e-5), lines.geometry).all()


@pytest.mark.parametrize("name", PATTERNS)
def test_the_same_layer_gives_the_same_lines(name: str) -> None:
    first, second = (drawn(quilt(), name, region="A1").geometry for _ in range(2))
    assert (shapely.to_wkb(first) == shapely.to_wkb(second)).all()


@pytest.mark.parametrize("name", PATTERNS)
def test_a_region_too_small_for_anything_says_so(name: str) -> None:
    tiny = Region("A1", RegionKind.BLOCK, box(10, 10, 12, 12))
    runner = Runner(box(0, 0, 300, 300), regions=(tiny,))
    lines = drawn(runner, name, region="A1", inset=2)
    assert len(lines) == 0 and lines.remarks[0].code == "no-lines"


@pytest.mark.parametrize("name", [n for n in PATTERNS if FIGURES[n].model.amount_key == "spacing"])
def test_a_spacing_nobody_sews_is_refused(name: str) -> None:
    with pytest.raises(InputError, match="stitches"):
        drawn(plain(90_000, 20_000), name, spacing=3)


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("waves", {"height": 100, "wave": 80}),
        ("serpentine", {"sweep": 200}),
        ("basket-weave", {"lines": 4}),
        ("bamboo", {"ring": 100}),
        ("fans", {"arcs": 0}),
        ("radiating", {"rays": 7}),
        ("cable", {"strands": 9}),
        ("fans", {"size": 4}),
        ("meander", {"spacing": 1}),
    ],
)
def test_figures_beyond_their_limits_are_refused(name: str, keys: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=next(iter(keys)) + "|steep|joints|where the next"):
        drawn(quilt(), name, region="A1", **keys)


@pytest.mark.parametrize("name", PATTERNS)
def test_the_amount_is_foreseen_within_a_factor_of_three(name: str) -> None:
    """The refusal of a spacing that nobody sews rests on it."""
    keys = {"region": "strip" if name in IN_BANDS else "runner", **WIDE.get(name, {})}
    model = layer(name, **keys)
    shape = STRIP if name in IN_BANDS else plain(1200, 320).outline
    lines = drawn(quilt() if name in IN_BANDS else plain(1200, 320), name, **keys)
    ratio = shapely.length(lines.geometry).sum() / (shape.area / model.apart_mm)
    assert 1 / 3 < ratio < 3


MIRRORED = [
    "waves", "serpentine", "clamshells", "fans", "nested-hexagons", "interlocking-squares",
    "orange-peel", "overlapping-circles",
]  # fmt: skip


@pytest.mark.parametrize("name", MIRRORED)
def test_left_and_right_mirror_each_other(name: str) -> None:
    points = shapely.get_coordinates(drawn(plain(1200, 320), name, region="runner").geometry)
    away, _ = cKDTree(points).query(np.array([1200.0, 0.0]) + points * [-1, 1])
    # A mirrored vertex lies within half a chord of a vertex.
    assert np.percentile(away, 99) < 2.5 and away.max() < 3.0
