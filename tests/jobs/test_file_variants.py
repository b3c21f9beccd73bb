"""Files for frames that only load and start, and names for old readers, read by other programs."""

from __future__ import annotations

import io
import re
from pathlib import Path

import ezdxf
import numpy as np
import pyembroidery
import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.formats.file_variants import begun_near
from quiltpath.jobs.machine_files import machine_files
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.formats.designs import Sewn, along, stitches_of
from tests.formats.dst_decoder import decode_dst

PROFILE = """
title = "A plain frame"
kind = "longarm"
field = { along = "900 mm", across = "240 mm" }
turns = false
trims = false
formats = ["dst", "dxf"]
"""
RUNNER = """
title = "Bench"
units = "mm"
runner = { length = 600, width = 320, size_is = "flat" }
[[quilting]]
kind = "straight"
angle = 20
spacing = 90
[machine]
profile = "plain.toml"
"""
ALL = 'variants = ["mirrored", "half-turned", "lower-right", "upper-right", "upper-left"]'


def _project(folder: Path, more: str) -> Path:
    (folder / "plain.toml").write_text(PROFILE, encoding="utf-8")
    file = folder / "runner.toml"
    file.write_text(f"{RUNNER}{more}\n", encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return _project(tmp_path_factory.mktemp("plain"), ALL)


@pytest.fixture(scope="module")
def result(project: Path) -> Result:
    return compute(load(project))


@pytest.fixture(scope="module")
def files(result: Result) -> dict[str, bytes]:
    made = machine_files(result)
    assert all(file.verified for file in made if file.verified is not None)
    return {file.name.removeprefix("machine/"): file.content for file in made}


def _dxf(contents: bytes) -> list[np.ndarray]:
    drawing = ezdxf.read(io.StringIO(contents.decode("utf-8")))
    return [np.array(line.get_points("xy")) for line in drawing.modelspace().query("LWPOLYLINE")]


def _holes(contents: bytes, folder: Path) -> np.ndarray:
    """Read by pyembroidery: mm from the file's origin, y upwards."""
    (folder / "read.dst").write_bytes(contents)
    pattern = pyembroidery.read(str(folder / "read.dst"))
    holes = [(x, -y) for x, y, kind in pattern.stitches if kind == pyembroidery.STITCH]
    return np.array(holes) / 10


@pytest.mark.parametrize(("name", "flip"), [("mirrored", (-1, 1)), ("half-turned", (-1, -1))])
def test_a_variant_is_the_same_figure_laid_otherwise_about_the_same_middle(
    files: dict[str, bytes], tmp_path: Path, name: str, flip: tuple[int, int]
) -> None:
    """In DST, by two decoders, from the middle; in DXF, by ezdxf, about the middle of the trace."""
    for part in ("pass-01-of-02", "pass-02-of-02"):
        plain, other = files[f"{part}.dst"], files[f"{part}-{name}.dst"]
        assert _holes(other, tmp_path) == pytest.approx(_holes(plain, tmp_path) * flip, abs=0.11)
        decoded = decode_dst(other).holes_mm
        assert decoded == pytest.approx(decode_dst(plain).holes_mm * flip, abs=0.11)
        trace = np.vstack(_dxf(files[f"{part}-trace.dxf"]))
        middle = (trace.min(axis=0) + trace.max(axis=0)) / 2
        drawn, laid = _dxf(files[f"{part}.dxf"]), _dxf(files[f"{part}-{name}.dxf"])
        assert len(drawn) == len(laid)
        for line, seen in zip(drawn, laid, strict=True):
            assert seen == pytest.approx(middle + (line - middle) * flip, abs=0.003)
        traced = np.vstack(_dxf(files[f"{part}-{name}-trace.dxf"]))
        assert traced.min(axis=0) == pytest.approx(trace.min(axis=0), abs=0.003)
        assert traced.max(axis=0) == pytest.approx(trace.max(axis=0), abs=0.003)


@pytest.mark.parametrize(
    ("name", "corner"), [("lower-right", (1, 0)), ("upper-right", (1, 1)), ("upper-left", (0, 1))]
)
def test_a_corner_variant_counts_from_that_corner_and_begins_nearest_to_it(
    files: dict[str, bytes], name: str, corner: tuple[int, int]
) -> None:
    """The trace goes round a box whose corner is X0 Y0; no end of a line lies nearer to it than
    where the file begins; and the holes are those of the plain file."""
    for part in ("pass-01-of-02", "pass-02-of-02"):
        trace = np.vstack(_dxf(files[f"{part}-{name}-trace.dxf"]))
        box = np.array([trace.min(axis=0), trace.max(axis=0)])
        assert [box[corner[0], 0], box[corner[1], 1]] == pytest.approx([0, 0], abs=0.002)
        lines = _dxf(files[f"{part}-{name}.dxf"])
        ends = np.vstack([line[[0, -1]] for line in lines])
        assert np.hypot(*lines[0][0]) == pytest.approx(np.hypot(*ends.T).min(), abs=0.01)
        holes = [decode_dst(files[f"{part}{of}.dst"]).holes_mm for of in ("", f"-{name}")]
        plain, begun = (each[np.lexsort(np.round(each, 1).T)] for each in holes)
        assert begun == pytest.approx(plain, abs=0.01)


def test_the_sheet_says_what_each_variant_is_for_and_where_it_begins(
    files: dict[str, bytes],
) -> None:
    sheet = " ".join(files["LOADING.txt"].decode().split())
    assert "pass-01-of-02-mirrored: left and right are swapped, for work that lies face" in sheet
    for name in ("mirrored", "half-turned", "upper-left"):
        told = re.search(
            rf"pass-01-of-02-{name}:.*?must read X (-?[\d.]+) Y (-?[\d.]+) with a path file, X"
            r" (-?[\d.]+) Y (-?[\d.]+) with a stitch file",
            sheet,
        )
        assert told
        x, y, right, up = map(float, told.groups())
        assert _dxf(files[f"pass-01-of-02-{name}.dxf"])[0][0] == pytest.approx((x, y), abs=0.06)
        first = decode_dst(files[f"pass-01-of-02-{name}.dst"]).holes_mm[0]
        assert first == pytest.approx((right, up), abs=0.11)


def test_the_screen_tells_a_variant_from_the_file_that_it_varies(files: dict[str, bytes]) -> None:
    """The label in the header of DST, 16 letters after LA:."""
    labels = {name: files[name][3:19].strip() for name in files if name.endswith(".dst")}
    assert len(set(labels.values())) == len(labels)
    assert labels["pass-01-of-02-mirrored.dst"] == b"M 01/02"


def test_inspect_names_each_variant(files: dict[str, bytes], project: Path, tmp_path: Path) -> None:
    for name in ("mirrored.dst", "half-turned-trace.dxf", "upper-right.dxf"):
        file = tmp_path / f"found-{name}"
        file.write_bytes(files[f"pass-02-of-02-{name}"])
        done = CliRunner().invoke(main, ["inspect", str(file), "--against", str(project)])
        assert done.exit_code == 0, done.output
        words = name.rpartition(".")[0]
        assert f"this is pass-02-of-02-{words} of the project, as meant" in done.output


def test_names_of_eight_letters_and_three_are_all_unlike_and_known_again(tmp_path: Path) -> None:
    """ISO 9660, level 1: eight letters, digits or _ and three more; on such a card small letters
    and large ones are the same."""
    more = f'{ALL}\nnames = "8.3"\nformats = ["dst", "gcode", "points", "json"]'
    file = _project(tmp_path, more)
    out = tmp_path / "out"
    assert CliRunner().invoke(main, ["make", str(file), "--out", str(out)]).exit_code == 0
    names = [path.name for path in (out / "machine").iterdir()]
    made = [name for name in names if name not in ("LOADING.txt", "placement.pdf")]
    assert len(made) == 2 * 4 * 12
    assert all(re.fullmatch(r"[A-Z0-9_]{1,8}\.[A-Z0-9]{3}|[A-Z0-9_]{1,8}\.NC", n) for n in made)
    assert len({name.upper() for name in made}) == len(made)
    for name in ("P02OF02.NC", "MP01OF02.PTS", "TP01OF02.JSN"):
        arguments = ["inspect", str(out / "machine" / name), "--against", str(file)]
        done = CliRunner().invoke(main, arguments)
        assert f"this is {name.partition('.')[0]} of the project, as meant" in done.output


def test_a_start_of_thread_begun_at_its_end_is_the_same_thread_backwards() -> None:
    """Three runs; the corner lies at the far end of the second."""
    runs = [along((0, 0), (30, 0)), along((0, 20), (60, 20), (60, 40)), along((0, 50), (20, 50))]
    design = stitches_of([Sewn(run) for run in runs])
    begun = begun_near(design, np.array([60.0, 45.0]))
    holes = np.vstack([runs[1][::-1], runs[0], runs[2]])
    assert begun.needle_holes == pytest.approx(holes)
    assert begun.stitch_count == design.stitch_count
    assert begun.stitched_mm == pytest.approx(design.stitched_mm)
    assert begun.kind.tolist().count(3) == design.kind.tolist().count(3)


def test_a_variant_that_there_is_not_is_told_with_those_that_there_are(tmp_path: Path) -> None:
    file = _project(tmp_path, 'variants = ["upside-down"]')
    done = CliRunner().invoke(main, ["check", str(file)])
    assert done.exit_code == 2
    assert "machine.variants" in done.output
    assert "mirrored" in done.output
