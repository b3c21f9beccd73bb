"""Lines along the sashing and round the motifs: what they follow, how they may be sewn."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from quiltpath.errors import InputError
from quiltpath.patterns import LineRole
from tests.patterns.runners import disc, drawn, plain, sashed, stations


def test_in_the_ditch_means_on_the_printed_lines() -> None:
    lines = drawn(sashed(), "sashing")
    printed = shapely.union_all(sashed().printed)
    assert shapely.union_all(lines.geometry).hausdorff_distance(printed) < 1e-6


def test_an_offset_moves_each_line_into_its_block() -> None:
    lines = drawn(sashed(), "sashing", offset=5)
    upright = lines.take(np.ptp(shapely.bounds(lines.geometry)[:, [0, 2]], axis=1) < 1e-6)
    assert np.allclose(stations(upright), [30, 220, 280, 470])


def test_sashing_lines_hold_and_may_be_sewn_twice() -> None:
    """Common practice: thread may be retraced along a sashing line without showing."""
    lines = drawn(sashed(), "sashing")
    assert (lines.role == LineRole.HOLD).all() and lines.retraceable.all()


def test_motif_outlines_may_be_sewn_twice_and_fill_may_not() -> None:
    runner = plain(motifs=(disc(300, 160, 40),))
    outline, fill = drawn(runner, "motif"), drawn(runner, "straight", spacing=40)
    assert (outline.role == LineRole.OUTLINE).all() and outline.retraceable.all()
    assert (fill.role == LineRole.FILL).all() and not fill.retraceable.any()
    assert outline.source[0] == "plate in A1"


def test_the_project_may_say_another_role() -> None:
    lines = drawn(plain(), "straight", spacing=40, role="hold")
    assert (lines.role == LineRole.HOLD).all()


def test_a_motif_line_beside_the_outline_keeps_its_distance() -> None:
    runner = plain(motifs=(disc(300, 160, 40),))
    (ring,) = drawn(runner, "motif", offset=5).geometry
    assert ring.length == pytest.approx(2 * np.pi * 45, rel=1e-3)


@pytest.mark.parametrize(("kind", "keys"), [("sashing", {}), ("motif", {})])
def test_what_is_not_on_the_runner_cannot_be_followed(kind: str, keys: dict[str, object]) -> None:
    with pytest.raises(InputError, match="add a"):
        drawn(plain(), kind, **keys)
