"""Patterns through to the needle: one run where promised, needle points on the true curve."""

from __future__ import annotations

import math

import numpy as np
import pytest

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import Lines, draw
from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import Runs, policy_named, route
from quiltpath.stitching import place
from tests.patterns.runners import FIGURES, layer, plain
from tests.patterns.test_repertoire import quilt

STRAY_MM = 0.1
SETTING = StitchSection()


def routed(runner: Runner, lines: Lines) -> Runs:
    return route(lines, policy_named("continuous", {}), runner.outline, runner.margin_mm)


def needle_points(runner: Runner, kind: str, **keys: object) -> np.ndarray:
    """(n, 2) points at which the needle goes down on quilting lines, not in the margin."""
    stitches = place(routed(runner, draw(runner, [layer(kind, **keys)])), SETTING)
    return stitches.points[(stitches.line >= 0) & stitches.is_stitch]


@pytest.mark.parametrize("name", [word for word, kind in FIGURES.items() if kind.one_path])
@pytest.mark.parametrize("region", ["A1", "strip"])
def test_a_frame_sews_in_one_run_what_is_promised_as_one_path(name: str, region: str) -> None:
    runner = quilt()
    lines = draw(runner, [layer(name, region=region)])
    runs = routed(runner, lines)
    figures = len(lines) if FIGURES[name].cells else 1
    assert len(runs) == runs.runs_lower_bound == figures


@pytest.mark.parametrize("name", ["waves", "serpentine", "fans", "bamboo", "clamshells"])
def test_a_frame_sews_rows_over_the_whole_runner_in_one_run(name: str) -> None:
    """Rows that run off the edge are joined along the margin."""
    runner = plain(1200, 320)
    assert len(routed(runner, draw(runner, [layer(name)]))) == 1


@pytest.mark.parametrize("name", ["cable", "leaf-vine"])
def test_a_border_is_one_run_round_its_corners(name: str) -> None:
    runner = quilt()
    assert len(routed(runner, draw(runner, [layer(name, region="border")]))) == 1


def test_needle_points_of_a_wave_lie_on_the_sine() -> None:
    at = needle_points(plain(1200, 40), "waves", wave=150, height=30, spacing=60, overrun=0)
    true = 20 + 15 * np.cos(2 * math.pi * (at[:, 0] - 600) / 150)
    assert len(at) > 300
    assert np.abs(at[:, 1] - true).max() < STRAY_MM


def test_needle_points_of_circles_lie_on_their_circles() -> None:
    at = needle_points(plain(1200, 320), "overlapping-circles", size=80, inset=0)
    rows, radius, half = 7, 40, math.sqrt(3) / 2  # (320 / 40 - 2) / half + 1 = 7.9 rows
    below = (320 - (2 + 6 * half) * radius) / 2
    middles = np.array(
        [
            (radius * (1 + column + 0.5 * (row % 2)), below + radius * (1 + row * half))
            for row in range(rows)
            for column in range(29 - row % 2)
        ]
    )
    away = np.abs(np.hypot(*np.moveaxis(at[:, None] - middles, -1, 0)) - radius).min(axis=1)
    assert away.max() < STRAY_MM


def test_needle_points_of_a_spiral_lie_on_the_involute() -> None:
    """A point of an involute at distance r from the middle has turned by sqrt(r^2 / a^2 - 1), and
    stands at the angle t - arctan t from where it began."""
    at = needle_points(plain(400, 400), "spiral", spacing="about 16 mm", inset=0) - 200
    a = 200 / 13 / math.pi
    r = np.hypot(*at.T)
    outside = r > 3 * a
    t = np.sqrt((r[outside] / a) ** 2 - 1)
    angle = np.arctan2(at[outside, 1], at[outside, 0])
    off = np.remainder(t - np.arctan(t) - angle + math.pi / 2, math.pi) - math.pi / 2
    assert np.abs(off * r[outside]).max() < 2.0  # along the circle: the curve crosses it slantwise
    # The curve meets its circle at an angle of arctan(1 / t); across it the miss is that much less.
    assert np.abs(off * r[outside] * np.sin(np.arctan(1 / t))).max() < STRAY_MM


def test_stitches_on_gentle_curves_keep_to_their_length() -> None:
    runner = plain(1200, 320)
    stitches = place(routed(runner, draw(runner, [layer("waves")])), SETTING)
    steps = stitches.step_mm[stitches.is_stitch & (stitches.line >= 0)]
    assert np.mean((steps > 3.0 - 1e-6) & (steps < 3.5 + 1e-6)) > 0.98
