"""Corners of photographs made from known ones, within a millimetre, or an honest word."""

from __future__ import annotations

import numpy as np
import pytest

from quiltpath.errors import InputError
from quiltpath.photo.corners import find_corners, given_corners, in_order
from quiltpath.photo.lens import Lens, lens_of
from quiltpath.photo.reading import photo_in_memory
from tests.photo.measuring import corners_off_mm
from tests.photo.scene import Panel, Scene, checked_cloth, round_cloth, wooden_table

WITHIN_MM = 1.0

STEEP = ((0.05, 0.85), (0.95, 0.75), (0.7, 0.35), (0.3, 0.37))
UPRIGHT = ((0.7, 0.9), (0.68, 0.1), (0.4, 0.12), (0.38, 0.88))

SEEN = {
    "boards with a lens and folds": Scene(table=wooden_table, folds=0.15, radial=-0.05),
    "a checked cloth, the lens the other way": Scene(table=checked_cloth, radial=0.04),
    "a round cloth with rings": Scene(table=round_cloth),
    "hardly darker than the table": Scene(panel=Panel(sashing="#d4ccbe")),
    "noise, half the light gone at one end": Scene(noise=12, light=0.5, blur=1.5),
    "held upright": Scene(picture=(1200, 1600), corners=UPRIGHT),
}


@pytest.mark.parametrize("name", SEEN)
def test_corners_are_within_a_millimetre(name: str) -> None:
    assert corners_off_mm(SEEN[name]).max() < WITHIN_MM


def test_a_corner_that_is_folded_under_is_put_where_the_sides_meet_and_told_as_less_sure() -> None:
    scene = Scene(panel=Panel(missing_corner=40), table=wooden_table)
    assert corners_off_mm(scene).max() < WITHIN_MM
    found = find_corners(photo_in_memory(scene.photo()), 640, 200)
    assert int(np.argmin(found.confidence)) == 2
    assert found.confidence[2] < 0.6 < found.confidence[0]


BESIDE = Scene(corners=((0.1, 0.4), (0.9, 0.4), (0.85, 0.15), (0.15, 0.15)))
AWAY = ((3.0, 3.0), (4.0, 3.0), (4.0, 2.8), (3.0, 2.8))

REFUSED = {
    "two panels": (
        Scene(corners=((0.1, 0.9), (0.9, 0.9), (0.85, 0.65), (0.15, 0.65)), others=(BESIDE,)),
        "two panels",
    ),
    "a corner past the picture": (
        Scene(corners=((-0.02, 0.68), (0.9, 0.66), (0.86, 0.38), (0.06, 0.4))),
        "past the picture's edge",
    ),
    "an end past the picture": (
        Scene(corners=((-0.05, 0.68), (0.9, 0.66), (0.86, 0.38), (0.05, 0.4))),
        "all round",
    ),
    "of the table's own colour": (Scene(panel=Panel(sashing="#c6beb2")), "stands out"),
    "no panel at all": (Scene(corners=AWAY, table=checked_cloth), "no panel"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_measured_is_told_in_one_line(name: str) -> None:
    scene, said = REFUSED[name]
    with pytest.raises(InputError, match=said) as told:
        find_corners(photo_in_memory(scene.photo(), "panel.jpg"), 640, 200)
    assert "\n" not in str(told.value) and str(told.value).startswith("panel.jpg")


def test_a_lens_seen_from_close_by_leaves_the_panel_flat() -> None:
    """A strong lens and a flat angle: still the length of the panel to half a per cent."""
    scene = Scene(corners=STEEP, table=checked_cloth, radial=-0.08)
    found = find_corners(photo_in_memory(scene.photo()), 640, 200)
    # r = r' (1 + k r'^2) turned round begins with -k: Brown's series, from memory.
    assert found.lens.radial == pytest.approx(0.08, abs=0.03)
    assert corners_off_mm(scene).max() < 2 * WITHIN_MM


def test_a_straight_lens_is_left_alone() -> None:
    t = np.linspace(0, 1, 50)[:, None]
    edges = [
        np.array(a) + t * (np.array(b) - a) for a, b in (((9, 9), (900, 40)), ((9, 9), (5, 600)))
    ]
    noise = np.random.default_rng(1).normal(0, 0.1, (2, 50, 2))
    assert lens_of([e + n for e, n in zip(edges, noise, strict=True)], (1000, 700)).radial == 0


def test_a_lens_and_its_inverse_come_back() -> None:
    points = np.random.default_rng(2).uniform(0, 700, (40, 2))
    for radial in (-0.1, 0.0, 0.15):
        lens = Lens((1000, 700), radial)
        assert lens.straight(lens.seen(points)) == pytest.approx(points, abs=1e-3)


def test_corners_begin_at_the_lower_left_whatever_way_they_are_given() -> None:
    wanted = np.array([(100.0, 500.0), (900.0, 480.0), (880.0, 200.0), (120.0, 220.0)])
    for start in range(4):
        for way in (1, -1):
            given = np.roll(wanted, start, axis=0)[::way]
            assert in_order(given, 640, 200) == pytest.approx(wanted)


@pytest.mark.parametrize(
    "corners",
    [
        [(100, 500), (900, 480), (120, 220), (880, 200)],
        [(100, 500), (500, 350), (900, 200), (120, 220)],
        [(100, 500), (900, 480), (880, np.nan), (120, 220)],
        [(100, 500), (2900, 480), (2880, 200), (120, 220)],
    ],
    ids=["crossed", "three on a line", "no number", "beside the picture"],
)
def test_marked_corners_that_go_round_nothing_are_told(corners: list[tuple[float, float]]) -> None:
    photo = photo_in_memory(np.zeros((1200, 1600, 3), dtype=np.uint8))
    with pytest.raises(InputError, match="corner"):
        given_corners(photo, np.array(corners, dtype=float))
