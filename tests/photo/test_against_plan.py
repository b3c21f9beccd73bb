"""A quilted piece that is known against its plan: where it strays, what is missing, its size."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image

from quiltpath.errors import InputError
from quiltpath.photo.against_plan import AgainstPlan, against_plan, stray_map
from quiltpath.photo.reading import photo_in_memory
from quiltpath.photo.real_size import SHEETS_MM
from tests.once import once
from tests.photo.scene import Panel, Points, Scene, jug, wooden_table

X = np.linspace(20, 620, 200)
PLANNED = [np.column_stack([X, np.full_like(X, y)]) for y in (30.0, 60.0, 90.0, 120.0, 150.0)]
STRAYS = (0.0, 0.5, 1.0, 4.0)
"""mm to either side, in waves; the fifth line is not sewn."""
STITCH_MM = 2.8
TAKEN_UP = (0.03, 0.04)


def sewn() -> tuple[tuple[Points, str, float], ...]:
    waves = [
        line + np.column_stack([0 * X, a * np.sin(X / 60)])
        for line, a in zip(PLANNED, STRAYS, strict=False)
    ]
    return tuple((line, "#7a1f1f", STITCH_MM) for line in waves)


def scene() -> Scene:
    """The piece, 3 % and 4 % smaller than planned, and a sheet of A4 askew below it."""
    piece = Scene(
        panel=Panel(threads=sewn(), motifs=((jug(), "#3d6a7d"),)),
        picture=(2600, 1950),
        corners=((0.15, 0.42), (0.85, 0.41), (0.81, 0.16), (0.2, 0.17)),
        table=wooden_table,
    )
    turn = np.radians(6)
    along, up = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    corner, (long, short) = np.array([200.0, -250.0]), SHEETS_MM["A4"]
    corners = np.array(
        [corner, corner + long * along, corner + long * along + short * up, corner + short * up]
    )
    seen = piece.seen(corners / (1 - np.array(TAKEN_UP))) / piece.picture
    sheet = Panel(length=long, width=short, along=(), across=(), sashing="#fbfbfb", motifs=())
    beside = Scene(panel=sheet, corners=tuple((float(x), float(y)) for x, y in seen))
    return Scene(piece.panel, piece.picture, piece.corners, table=wooden_table, others=(beside,))


@once
def measured() -> AgainstPlan:
    return against_plan(
        photo_in_memory(scene().photo()), PLANNED, 640, 200, sheet_mm=SHEETS_MM["A4"]
    )


@pytest.fixture
def found() -> AgainstPlan:
    return measured()


def test_how_far_each_line_strays(found: AgainstPlan) -> None:
    for line, strays in zip(found.lines, STRAYS, strict=False):
        assert line.largest_mm == pytest.approx(strays, abs=0.3)
        wave = strays * np.sin(line.at_mm[:, 0] / 60)
        seen = np.isfinite(line.off_mm)
        assert seen.mean() > 0.9
        assert np.quantile(np.abs(line.off_mm - wave)[seen], 0.95) < 0.5


def test_the_worst_place_and_the_missing_line(found: AgainstPlan) -> None:
    assert found.missing == (4,)
    assert found.worst is not None and found.worst[0] == 3
    assert abs(np.sin(found.worst[1] / 60)) > 0.95
    assert not found.too_coarse


def test_stitches_are_counted(found: AgainstPlan) -> None:
    assert found.stitch_mm == pytest.approx(STITCH_MM, abs=0.05)


def test_the_real_draw_up_from_a_sheet_of_paper(found: AgainstPlan) -> None:
    assert found.real is not None
    assert found.real.drawn_up(640, 200) == pytest.approx(TAKEN_UP, abs=found.real.error_share)


def test_the_map_marks_what_strays(found: AgainstPlan) -> None:
    shown = np.asarray(Image.open(io.BytesIO(stray_map(found))).convert("RGB")).astype(int)
    red = np.abs(shown - (0xD5, 0x5E, 0x00)).sum(axis=2) < 12
    rows = np.flatnonzero(red.any(axis=1)) / shown.shape[0]
    assert rows.min() + 0.02 > 1 - 125 / 200 and rows.max() < 1 - 115 / 200 + 0.02


def test_thread_that_does_not_show_is_not_seen() -> None:
    bare = Scene(panel=Panel(motifs=()), picture=(2000, 1500))
    found = against_plan(photo_in_memory(bare.photo()), PLANNED[:2], 640, 200)
    assert found.missing == (0, 1) and found.stitch_mm is None
    assert found.real is None


def test_no_sheet_of_paper_is_told() -> None:
    bare = Scene(panel=Panel(motifs=()))
    with pytest.raises(InputError, match="no sheet of paper"):
        against_plan(photo_in_memory(bare.photo()), PLANNED[:1], 640, 200, sheet_mm=SHEETS_MM["A4"])
