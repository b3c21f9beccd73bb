"""Path files read by other programs than the one that wrote them."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.errors import FormatLimitError, VerificationError
from quiltpath.formats import FORMATS, FileOrder, PathFormat, deliver_paths, thread_paths
from quiltpath.machine import ProfileRegistry
from quiltpath.stitching import Stitches
from tests.formats.designs import LETTER_F, Sewn, along, four_runs, stitches_of, wander
from tests.formats.gcode_machine import Machine

GANTRY = ProfileRegistry().find("gantry")


PATH_FORMATS = {name: form for name, form in FORMATS.items() if isinstance(form, PathFormat)}


def _file(design: Stitches, name: str, **more: object) -> bytes:
    form = PATH_FORMATS[name]
    return deliver_paths(form, FileOrder(design, "Harvest supper", GANTRY, **more))[0]  # type: ignore[arg-type]


def _meant(design: Stitches) -> list[np.ndarray]:
    return list(thread_paths(design, 0.05).lines)


def _same(found: list[np.ndarray], meant: list[np.ndarray]) -> None:
    assert [len(line) for line in found] == [len(line) for line in meant]
    assert max(np.abs(a - b).max() for a, b in zip(found, meant, strict=True)) <= 0.001


@given(seed=st.integers(0, 10_000), tolerance=st.floats(0.01, 1.0))
@settings(deadline=None, max_examples=40)
def test_no_hole_lies_further_from_its_polyline_than_the_tolerance(
    seed: int, tolerance: float
) -> None:
    design = stitches_of([Sewn(wander(seed, 200))])
    paths = thread_paths(design, tolerance)
    holes = design.needle_holes - design.needle_holes.min(axis=0)
    away = shapely.distance(shapely.points(holes), shapely.LineString(paths.lines[0]))
    assert away.max() <= tolerance + 1e-9
    assert np.array_equal(paths.lines[0][[0, -1]], holes[[0, -1]])


def test_a_straight_line_keeps_its_two_ends_and_a_letter_its_corners() -> None:
    line = thread_paths(stitches_of([Sewn(along((0, 0), (600, 20)))]), 0.05).lines[0]
    assert len(line) == 2
    letter = thread_paths(stitches_of([Sewn(LETTER_F)]), 0.05).lines[0]
    assert letter.tolist() == [[0, 0], [0, 90], [50, 90], [0, 90], [0, 50], [35, 50]]


def test_an_arc_keeps_about_as_many_points_as_its_sagitta_asks_for() -> None:
    """A chord of angle a on radius r strays by r(1 - cos(a/2)); no fewer chords can do."""
    turn = np.linspace(0, np.pi, 1500)
    design = stitches_of([Sewn(300 * np.column_stack([np.cos(turn), np.sin(turn)]))])
    fewest = np.pi / (2 * np.arccos(1 - 0.05 / 300))
    points = len(thread_paths(design, 0.05).lines[0])
    assert fewest <= points <= 2.2 * fewest


def test_dxf_passes_the_audit_of_its_library_and_is_r2000_in_millimetres(tmp_path: Path) -> None:
    """INSUNITS 4 is millimetres (DXF reference); AC1015 is R2000."""
    path = tmp_path / "whole.dxf"
    path.write_bytes(_file(four_runs(), "dxf"))
    drawing = ezdxf.readfile(path)
    audit = drawing.audit()
    assert not audit.has_errors and not audit.has_fixes
    assert drawing.dxfversion == "AC1015"
    assert drawing.header["$INSUNITS"] == 4
    lines = drawing.modelspace().query("LWPOLYLINE")
    assert [line.dxf.layer for line in lines] == ["sewing"] * 4
    high = np.vstack(_meant(four_runs())).max(axis=0)
    assert drawing.header["$EXTMIN"][:2] == pytest.approx((0, 0), abs=0.001)
    assert drawing.header["$EXTMAX"][:2] == pytest.approx(tuple(high), abs=0.001)
    roles = [drawing.layers.get(role) for role in ("sewing", "trace", "edge", "crosses", "cuts")]
    assert len({role.color for role in roles}) == 5
    _same([np.array(line.get_points("xy")) for line in lines], _meant(four_runs()))


def test_dxf_is_read_by_gdal_as_it_was_meant(tmp_path: Path) -> None:
    """GDAL's own DXF driver, through pyogrio."""
    pyogrio = pytest.importorskip("pyogrio")
    path = tmp_path / "whole.dxf"
    path.write_bytes(_file(four_runs(), "dxf"))
    _, _, shapes, columns = pyogrio.raw.read(path, columns=["Layer"])
    assert list(columns[0]) == ["sewing"] * 4
    _same([shapely.get_coordinates(shapely.from_wkb(s)) for s in shapes], _meant(four_runs()))


def test_gcode_moves_as_meant_with_the_needle_up_between_runs_and_at_every_stop() -> None:
    machine = Machine(_file(four_runs(), "gcode").decode())
    _same([np.array(run) for run in machine.runs], _meant(four_runs()))
    assert machine.ended and not machine.needle
    assert machine.halts == [run[-1] for run in machine.runs[:-1]]


def test_gcode_feeds_at_stitch_length_times_stitches_a_minute() -> None:
    """3.2 mm at 400 a minute: 1280 mm a minute, by hand."""
    assert Machine(_file(four_runs(), "gcode").decode()).feeds == {1280.0}


def test_a_gantrys_own_needle_words_are_used() -> None:
    own = GANTRY.model_copy(
        update={"gcode": GANTRY.gcode.model_copy(update={"needle_down": "M64 P0"})}
    )
    contents, _ = deliver_paths(PATH_FORMATS["gcode"], FileOrder(four_runs(), "x", own))
    assert contents.decode().count("M64 P0\n") == 4


def test_svg_is_true_to_size_upright_and_has_one_path_for_each_run() -> None:
    """Read by svgelements, which turns y downwards and millimetres into 1/96 in by CSS."""
    from svgelements import SVG
    from svgelements import Path as SvgPath

    design = stitches_of([Sewn(LETTER_F), Sewn(along((80, 0), (80, 90)))])
    text = _file(design, "svg").decode()
    assert 'width="80.000mm"' in text and 'viewBox="0 0 80.000 90.000"' in text
    import io

    shapes = [s for s in SVG.parse(io.StringIO(text)).elements() if isinstance(s, SvgPath)]
    assert len(shapes) == 2
    points = np.array([[p.x, p.y] for p in shapes[0].as_points()]) * 25.4 / 96
    assert np.ptp(points, axis=0) == pytest.approx((50, 90), abs=0.01)
    longest_arm = points[np.argmax(points[:, 0])]
    assert longest_arm[1] == pytest.approx(points[:, 1].min(), abs=0.01)


def test_points_are_a_table_of_millimetres() -> None:
    rows = _file(four_runs(), "points").decode().splitlines()
    assert rows[0] == "run,point,x_mm,y_mm"
    table = np.array([row.split(",") for row in rows[1:]], dtype=float)
    found = [table[table[:, 0] == run, 2:] for run in (1, 2, 3, 4)]
    _same(found, _meant(four_runs()))


@pytest.mark.parametrize("name", sorted(PATH_FORMATS))
def test_the_same_design_gives_the_same_bytes(name: str) -> None:
    assert _file(four_runs(), name) == _file(four_runs(), name)


@pytest.mark.parametrize("name", sorted(PATH_FORMATS))
def test_a_file_that_reads_back_otherwise_is_not_delivered(
    name: str,
) -> None:
    import dataclasses

    form = PATH_FORMATS[name]
    for harm in (
        lambda text: text.replace(b"90.000", b"91.000"),
        lambda text: text[: len(text) // 2],
    ):
        spoilt = dataclasses.replace(form, write=lambda r, h=harm: _spoilt(form.write(r), h))
        with pytest.raises(VerificationError):
            deliver_paths(
                spoilt, FileOrder(stitches_of([Sewn(LETTER_F)]), "Harvest supper", GANTRY)
            )


def _spoilt(contents: bytes, harm) -> bytes:  # type: ignore[no-untyped-def]
    harmed = harm(contents)
    return harmed if harmed != contents else contents.replace(b"90.0", b"91.0")


def test_a_design_without_stitches_is_refused() -> None:
    with pytest.raises(FormatLimitError, match="SVG: there is nothing to sew"):
        _file(stitches_of([Sewn(LETTER_F[:1])]), "svg")
