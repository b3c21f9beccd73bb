"""All files of one load read back and laid over one another: they count from one place.

Nothing here asks the writers: G-code goes through an interpreter of the standard's words, DST
through the tests' own decoder, DXF through ezdxf and GDAL, and each is compared with the cloth.
"""

from __future__ import annotations

import io
import re
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely

from quiltpath.jobs.machine_files import machine_files
from quiltpath.jobs.resume import resume_files
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.formats.dst_decoder import decode_dst
from tests.formats.gcode_machine import Machine

LENGTH, WIDTH, BEYOND = 700.0, 300.0, 12.0

RUNNER = f"""
title = "Harvest supper"
units = "mm"
runner = {{ length = {LENGTH}, width = {WIDTH} }}
[[quilting]]
kind = "straight"
angle = 20
spacing = 55
"""

BEDS = {"one part": (900, 400), "two parts": (500, 400)}


def _profile(kind: str, field: tuple[int, int], formats: str, more: str = "") -> bytes:
    return f"""
title = "The club's machine"
kind = "{kind}"
field = {{ along = "{field[0]} mm", across = "{field[1]} mm" }}
turns = false
speed = 400
first_speed = 150
trims = false
formats = {formats}
{more}
""".encode()


def _result(
    tmp_path: Path, kind: str, field: tuple[int, int], formats: str, more: str = ""
) -> Result:
    (tmp_path / "club.toml").write_bytes(_profile(kind, field, formats, more))
    file = tmp_path / "runner.toml"
    file.write_text(f'{RUNNER}[machine]\nprofile = "club.toml"\n')
    return compute(load(file))


def _files(result: Result) -> dict[str, bytes]:
    return {file.name.removeprefix("machine/"): file.content for file in machine_files(result)}


def _part_names(result: Result) -> list[str]:
    assert result.machine_parts is not None
    return [part.name for part in result.machine_parts.parts]


def _bounds(points: np.ndarray) -> np.ndarray:
    return np.concatenate([points.min(axis=0), points.max(axis=0)])


def _edge_seen(result: Result, number: int) -> shapely.Geometry:
    """The flat top, a rectangle, as far as the part's field reaches."""
    assert result.machine_parts is not None
    field = result.machine_parts.parts[number].field
    return shapely.box(0, 0, result.runner.length_mm, result.runner.width_mm).intersection(
        shapely.box(field.left, field.low, field.right, field.high)
    )


@pytest.mark.parametrize("bed", BEDS)
def test_gcode_of_trace_and_sewing_share_one_zero(tmp_path: Path, bed: str) -> None:
    """One shift lays both on the cloth: the trace on the finished edge, the holes on the holes."""
    result = _result(tmp_path, "gantry", BEDS[bed], '["gcode"]')
    files = _files(result)
    for number, name in enumerate(_part_names(result)):
        assert result.machine_parts is not None
        sewn = np.vstack(Machine(files[f"{name}.gcode"].decode()).runs)
        traced = Machine(files[f"{name}-trace.gcode"].decode(), traces=True).traced
        holes = result.machine_parts.parts[number].stitches.needle_holes
        shift = holes.min(axis=0) - sewn.min(axis=0)
        assert _bounds(sewn + shift) == pytest.approx(_bounds(holes), abs=0.002)
        edge = shapely.LinearRing(np.array(traced[0]) + shift)
        meant = _edge_seen(result, number).exterior
        assert edge.hausdorff_distance(meant) <= 0.01
        # The box round everything has the middle of what is sewn, and no place lies below zero.
        box = _bounds(np.vstack(traced))
        assert (box[:2] + box[2:]) / 2 == pytest.approx(
            (sewn.min(axis=0) + sewn.max(axis=0)) / 2, abs=0.002
        )
        assert (np.vstack([sewn, *traced]) >= -1e-9).all()


@pytest.mark.parametrize("bed", BEDS)
def test_a_trace_is_slower_than_sewing(tmp_path: Path, bed: str) -> None:
    result = _result(tmp_path, "gantry", BEDS[bed], '["gcode", "dst"]')
    files = _files(result)
    for name in _part_names(result):
        sewing = Machine(files[f"{name}.gcode"].decode())
        trace = Machine(files[f"{name}-trace.gcode"].decode(), traces=True)
        assert max(trace.feeds) <= max(sewing.feeds) / 2 + 1
        # A head that goes on at one rate of stitches is the slower the shorter its steps are.
        steps = [_steps(files[f"{stem}.dst"]) for stem in (name, f"{name}-trace")]
        assert np.median(steps[1]) <= np.median(steps[0]) / 2 + 0.1


def _steps(content: bytes) -> np.ndarray:
    decoded = decode_dst(content)
    sewn = np.array(decoded.code) == "stitch"
    lengths = np.hypot(*decoded.step[sewn].T) / 10
    return lengths[lengths > 0]


@pytest.mark.parametrize("bed", BEDS)
@pytest.mark.parametrize("centres", [False, True])
def test_dst_of_trace_and_sewing_share_one_zero_and_one_middle(
    tmp_path: Path, bed: str, centres: bool
) -> None:
    """On a machine that keeps the file's zero, and on one that puts a file's middle in the middle
    of its field by the extents of the file's header."""
    field = BEDS[bed]
    result = _result(tmp_path, "longarm" if bed == "one part" else "gantry", field, '["dst"]')
    files = _files(result)
    for number, name in enumerate(_part_names(result)):
        assert result.machine_parts is not None
        holes = result.machine_parts.parts[number].stitches.needle_holes
        sewn, traced = (decode_dst(files[f"{stem}.dst"]) for stem in (name, f"{name}-trace"))
        at = [
            file.holes_mm - (_header_middle(file.header) if centres else 0)
            for file in (sewn, traced)
        ]
        shift = holes[0] - at[0][0]
        assert np.abs(at[0] + shift - holes).max() <= 0.2
        meant = _edge_seen(result, number).exterior
        on_edge = at[1] + shift
        covered = shapely.distance(
            shapely.points(shapely.get_coordinates(meant)), shapely.multipoints(on_edge)
        )
        assert covered.max() <= 0.3


def _header_middle(header: dict[str, str]) -> np.ndarray:
    """Middle of the extents that a DST header gives: +X, -X, +Y, -Y from the start, in 0.1 mm."""
    right, left, up, down = (int(header[key]) for key in ("+X", "-X", "+Y", "-Y"))
    return np.array([right - left, up - down]) / 20


def test_dxf_of_trace_and_sewing_share_one_zero_and_differ_in_layer(tmp_path: Path) -> None:
    """Read by ezdxf and by GDAL's own driver."""
    pyogrio = pytest.importorskip("pyogrio")
    result = _result(tmp_path, "gantry", BEDS["two parts"], '["dxf"]')
    files = _files(result)
    for number, name in enumerate(_part_names(result)):
        assert result.machine_parts is not None
        sewn, traced = (
            ezdxf.read(io.StringIO(files[f"{stem}.dxf"].decode()))
            for stem in (name, f"{name}-trace")
        )
        assert {entity.dxf.layer for entity in sewn.modelspace()} == {"sewing"}
        layers = {entity.dxf.layer for entity in traced.modelspace()}
        assert layers == {"edge", "trace", "crosses"} | (
            {"cuts"} if result.machine_parts.cuts else set()
        )
        holes = result.machine_parts.parts[number].stitches.needle_holes
        points = np.vstack(
            [line.get_points("xy") for line in sewn.modelspace().query("LWPOLYLINE")]
        )
        shift = holes.min(axis=0) - points.min(axis=0)
        (edge,) = traced.modelspace().query("LWPOLYLINE[layer=='edge']")
        ring = shapely.LinearRing(np.array(edge.get_points("xy")) + shift)
        assert ring.hausdorff_distance(_edge_seen(result, number).exterior) <= 0.01
        part = result.machine_parts.parts[number]
        middles = {
            tuple(
                np.round((np.array(line.dxf.start)[:2] + np.array(line.dxf.end)[:2]) / 2 + shift, 2)
            )
            for line in traced.modelspace().query("LINE[layer=='crosses']")
        }
        assert middles == {tuple(np.round(cross, 2)) for cross in part.crosses}
        path = tmp_path / "trace.dxf"
        path.write_bytes(files[f"{name}-trace.dxf"])
        info = pyogrio.read_info(path, force_total_bounds=True)
        box = np.array(info["total_bounds"])
        low, high = traced.header["$EXTMIN"][:2], traced.header["$EXTMAX"][:2]
        assert box == pytest.approx((*low, *high), abs=0.01)
        assert not traced.audit().has_errors


@pytest.mark.parametrize("bed", BEDS)
def test_the_check_of_the_sheet_is_where_the_files_have_it(tmp_path: Path, bed: str) -> None:
    """The needle over the place named must read the figures named: both found from the files."""
    result = _result(tmp_path, "gantry", BEDS[bed], '["gcode", "dst"]')
    files = _files(result)
    text = " ".join(files["LOADING.txt"].decode().split())
    checks = re.findall(
        r"needle over (.+?),? the screen must read X (-?[\d.]+) Y (-?[\d.]+) with a path file,"
        r" X (-?[\d.]+) Y (-?[\d.]+) with a stitch file",
        text,
    )
    names = _part_names(result)
    assert len(checks) == len(names)
    for number, (name, (place, *numbers)) in enumerate(zip(names, checks, strict=True)):
        assert result.machine_parts is not None
        part = result.machine_parts.parts[number]
        if place.startswith("cross x"):
            on_cloth = part.crosses[0]
        else:
            on_cloth = np.array(re.findall(r"([\d.]+) mm (?:along|across)", place), dtype=float)
        x, y, right, up = map(float, numbers)
        gcode = np.vstack(Machine(files[f"{name}.gcode"].decode()).runs)
        dst = decode_dst(files[f"{name}.dst"]).holes_mm
        holes = part.stitches.needle_holes
        assert np.array([x, y]) == pytest.approx(
            on_cloth - holes.min(axis=0) + gcode.min(axis=0), abs=0.1
        )
        assert np.array([right, up]) == pytest.approx(on_cloth - holes[0] + dst[0], abs=0.2)


def test_a_file_to_resume_from_counts_from_the_zero_of_the_whole(tmp_path: Path) -> None:
    result = _result(tmp_path, "gantry", BEDS["one part"], '["gcode", "dst"]')
    files = _files(result)
    rest = {file.name: file.content for file in resume_files(result, 2)[1]}
    whole = np.vstack(Machine(files["whole.gcode"].decode()).runs)
    left = np.vstack(Machine(rest["whole-from-2.gcode"].decode()).runs)
    assert len(left) < len(whole)
    near = shapely.distance(shapely.points(left[5:]), shapely.multipoints(whole))
    assert near.max() <= 0.002
    all_holes, some = (
        decode_dst(c).holes_mm for c in (files["whole.dst"], rest["whole-from-2.dst"])
    )
    assert np.abs(all_holes[-len(some) :] - some).max() <= 0.1 + 1e-9
    sheet = " ".join(rest["RESUME.txt"].decode().split())
    read = re.search(r"must read X (-?[\d.]+) Y (-?[\d.]+) with a path", sheet)
    assert read and tuple(map(float, read.groups())) == pytest.approx(tuple(left[0]), abs=0.06)


@pytest.mark.parametrize("secures", [True, False])
def test_gcode_secures_by_short_moves_at_a_feed_that_keeps_the_rate_of_stitches(
    tmp_path: Path, secures: bool
) -> None:
    """400 stitches a minute: a feed of 400 mm a minute makes stitches of 1 mm, by arithmetic."""
    more = f"secure_paths = {str(secures).lower()}"
    result = _result(tmp_path, "gantry", BEDS["two parts"], '["gcode", "points", "dst"]', more)
    files = _files(result)
    text = " ".join(files["LOADING.txt"].decode().split())
    for name in _part_names(result):
        machine = Machine(files[f"{name}.gcode"].decode())
        tiny = [move for move in machine.moves if np.hypot(*np.subtract(move[0], move[1])) < 1.6]
        slow = [move for move in machine.moves if move[2] < max(machine.feeds)]
        if secures:
            assert len(slow) >= 6
            assert {move[2] for move in slow} == {400.0}
            lengths = [np.hypot(*np.subtract(start, end)) for start, end, _ in slow]
            assert np.median(lengths) == pytest.approx(1.0, abs=0.05)
            assert set(slow) <= set(tiny)
            assert f"{name}.gcode: secured by moves of 1.0 mm at F400" in text
        else:
            assert not slow
            assert f"{name}.gcode, {name}-points.csv: NOT secured by the file" in text
        assert f"{name}.dst: secured by tiny stitches" in text


def test_a_project_overrules_the_profile_on_securing(tmp_path: Path) -> None:
    (tmp_path / "club.toml").write_bytes(_profile("gantry", BEDS["two parts"], '["gcode"]'))
    file = tmp_path / "runner.toml"
    file.write_text(f'{RUNNER}[machine]\nprofile = "club.toml"\nsecure_paths = false\n')
    assert b"NOT secured by the file" in _files(compute(load(file)))["LOADING.txt"]


def test_a_format_that_cannot_hold_the_set_is_left_out_and_the_others_are_written(
    tmp_path: Path,
) -> None:
    """XXX counts 20 halts; a machine that cannot cut halts at each end of thread."""
    from click.testing import CliRunner

    from quiltpath.cli import main

    (tmp_path / "club.toml").write_bytes(_profile("gantry", (900, 400), '["xxx", "dst"]'))
    file = tmp_path / "runner.toml"
    close = RUNNER.replace("spacing = 55", "spacing = 18").replace("angle = 60", "angle = 90")
    policy = '[sewing]\npolicy = "walking-foot"\n'
    file.write_text(f'{close}{policy}[machine]\nprofile = "club.toml"\n')
    done = CliRunner().invoke(main, ["make", str(file), "--out", str(tmp_path / "out")])
    assert done.exit_code == 1, done.output
    lines = [line for line in done.stderr.splitlines() if "left out" in line]
    assert len(lines) == 1 and "XXX" in lines[0] and "20" in lines[0]
    names = {path.name for path in (tmp_path / "out" / "machine").iterdir()}
    assert {"whole.dst", "whole-trace.dst", "LEFT-OUT.txt", "LOADING.txt"} <= names
    assert not [name for name in names if name.endswith(".xxx")]
    assert (tmp_path / "out" / "machine" / "LEFT-OUT.txt").read_text().strip() == lines[0]
    checked = CliRunner().invoke(main, ["check", str(file)])
    assert checked.exit_code == 1
    assert [line for line in checked.stderr.splitlines() if line] == lines
    alone = file.read_text().replace("[machine]", '[machine]\nformats = ["xxx"]')
    file.write_text(alone)
    said = [
        CliRunner().invoke(main, [*job, str(file)]) for job in (["check"], ["make", "--out", "x"])
    ]
    assert [done.exit_code for done in said] == [2, 2]
    assert said[0].stderr == said[1].stderr
