"""Hops shorter than a stitch are no trim; runs that are mostly securing are joined or told."""

import numpy as np
import pytest
from shapely.geometry import LineString, box

from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import PieceKind, Runs, policy_named, route

CLOTH = box(0, 0, 400, 200)


def sewn(paths: list, policy: str = "hoop", **keys: object) -> Runs:
    lines = layer_lines([LineString(path) for path in paths], name="dash")
    return route(lines, policy_named(policy, keys), CLOTH, 0.0)


@pytest.mark.parametrize(("gap", "runs"), [(1.0, 1), (2.99, 1), (3.01, 2)])
@pytest.mark.parametrize("policy", ["walking-foot", "hoop"])
def test_a_hop_of_less_than_a_stitch_of_3_mm_is_sewn(policy: str, gap: float, runs: int) -> None:
    found = sewn([[(50, 100), (150, 100)], [(150 + gap, 100), (250, 100)]], policy)
    assert len(found) == runs
    assert found.kind_length_mm(PieceKind.STEP) == pytest.approx(gap if runs == 1 else 0)
    assert found.travel_mm == pytest.approx(0 if runs == 1 else gap)


def test_pieces_of_a_joined_run_meet_end_to_end() -> None:
    found = sewn([[(50 + 52 * k, 100), (100 + 52 * k, 100)] for k in range(6)])
    assert len(found) == 1
    steps = np.hypot(*np.diff(found.run(0), axis=0).T)
    assert steps.sum() == pytest.approx(6 * 50 + 5 * 2)


@pytest.mark.parametrize(("length", "joined"), [(29, True), (31, False)])
def test_a_run_of_less_than_30_mm_is_joined_to_its_neighbour(length: float, joined: bool) -> None:
    """10 mm from a long line, by a step; longer ones keep their start, since a stitch shows."""
    paths = [[(50, 100), (250, 100)], [(260, 100), (260 + length, 100)]]
    assert len(sewn(paths)) == 2 - joined
    assert len(sewn(paths, step=False)) == 2


def test_a_short_run_with_no_neighbour_is_kept_and_told() -> None:
    paths = [[(50, 100), (250, 100)], [(320, 100), (340, 100)]]
    found = sewn(paths)
    assert len(found) == 2
    told = [change for change in found.changes if change.code == "short-run"]
    assert len(told) == 1 and told[0].message.startswith("1 run is shorter than 30 mm")
    assert not [change for change in sewn(paths[:1]).changes if change.code == "short-run"]
