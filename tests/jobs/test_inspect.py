"""Files that were damaged on purpose, each in a known way, and what is said of them.

The damage is done to the bytes, by the embroidery library's own reader and writer, by ezdxf or by
plain editing of text: nothing of the package that compares takes part in it.
"""

from __future__ import annotations

import functools
import io
import re
from collections.abc import Callable
from pathlib import Path

import ezdxf
import pyembroidery
import pytest

from quiltpath.errors import InputError
from quiltpath.jobs.inspect_file import inspect_file_at
from quiltpath.jobs.machine_files import machine_files
from quiltpath.jobs.resume import resume_files
from quiltpath.project import load
from quiltpath.result.computing import compute

PROJECT = """
title = "Galley mat"
units = "mm"
runner = { length = 420, width = 260 }
[[quilting]]
kind = "straight"
angle = 35
spacing = 16
[sewing]
policy = "walking-foot"
[machine]
profile = "club.toml"
"""
CLUB = """
title = "The club's gantry"
kind = "gantry"
field = { along = "700 mm", across = "500 mm" }
turns = false
trims = false
formats = ["dst", "gcode", "dxf", "svg", "points"]
"""


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("galley")
    (folder / "club.toml").write_text(CLUB)
    (folder / "runner.toml").write_text(PROJECT)
    return folder / "runner.toml"


@functools.cache
def _set(project: Path) -> dict[str, bytes]:
    result = compute(load(project))
    made = [*machine_files(result), *resume_files(result, 3)[1]]
    return {file.name.removeprefix("machine/"): file.content for file in made}


def _told(project: Path, tmp_path: Path, name: str, contents: bytes) -> tuple[str, bool]:
    file = tmp_path / name
    file.write_bytes(contents)
    text, same = inspect_file_at(file, project)
    return text.splitlines()[-1].strip(), same


Harm = Callable[[list[list[int]]], list[list[int]]]


def _dst(contents: bytes, harm: Harm) -> bytes:
    """The records changed and coded again by the library, with nothing else altered."""
    read = pyembroidery.EmbPattern()
    pyembroidery.DstReader.read(io.BytesIO(contents), read, {"trim_at": 10**6})
    pattern = pyembroidery.EmbPattern()
    pattern.stitches = _split(harm([list(row) for row in read.stitches]))
    stream = io.BytesIO()
    settings = {"encode": False, "trims": True}
    pyembroidery.EmbPattern.write_embroidery(pyembroidery.DstWriter, pattern, stream, settings)
    return stream.getvalue()


def _split(rows: list[list[int]]) -> list[list[int]]:
    """With jumps before a stitch that is longer than a record of DST holds, 121 units."""
    split, at = [], (0, 0)
    for x, y, code in rows:
        if code & 0xFF not in (pyembroidery.STITCH, pyembroidery.JUMP):
            x, y = at  # a command moves nothing
        pieces = -(-max(abs(x - at[0]), abs(y - at[1])) // 121)
        for k in range(1, pieces):
            share = k / pieces
            place = (round(at[0] + share * (x - at[0])), round(at[1] + share * (y - at[1])))
            split.append([*place, pyembroidery.JUMP])
        split.append([x, y, code])
        at = (x, y)
    return split


def _each(change: Callable[[int, int], tuple[int, int]]) -> Harm:
    return lambda rows: [[*change(x, y), code] for x, y, code in rows]


def _holes(rows: list[list[int]]) -> list[int]:
    return [k for k, row in enumerate(rows) if row[2] & 0xFF == pyembroidery.STITCH]


def _move(numbers: dict[int, tuple[int, int]]) -> Harm:
    """Holes, counted from 1, moved by so many tenths of a millimetre, y downwards."""

    def harm(rows: list[list[int]]) -> list[list[int]]:
        holes = _holes(rows)
        for number, (dx, dy) in numbers.items():
            rows[holes[number - 1]][0] += dx
            rows[holes[number - 1]][1] += dy
        return rows

    return harm


def _without(first: int, last: int) -> Harm:
    def harm(rows: list[list[int]]) -> list[list[int]]:
        gone = set(_holes(rows)[first - 1 : last])
        return [row for k, row in enumerate(rows) if k not in gone]

    return harm


def _cut_after(number: int) -> Harm:
    return lambda rows: [*rows[: _holes(rows)[number - 1] + 1], [0, 0, pyembroidery.END]]


def _backwards(rows: list[list[int]]) -> list[list[int]]:
    places = [row[:2] for row in rows if row[2] & 0xFF == pyembroidery.STITCH][::-1]
    for k, place in zip(_holes(rows), places, strict=True):
        rows[k][:2] = place
    return rows


def _halves_swapped(rows: list[list[int]]) -> list[list[int]]:
    places = [row[:2] for row in rows if row[2] & 0xFF == pyembroidery.STITCH]
    half = len(places) // 2
    for k, place in zip(_holes(rows), places[half:] + places[:half], strict=True):
        rows[k][:2] = place
    return rows


STITCH_FILES: list[tuple[str, Harm, str]] = [
    ("shifted right", _each(lambda x, y: (x + 50, y)),
     r"whole .* shifted by 5\.0 mm to the right$"),
    ("shifted up and left", _each(lambda x, y: (x - 20, y - 70)),
     r"shifted by 2\.0 mm to the left and 7\.0 mm up"),
    ("turned by half a turn", _each(lambda x, y: (-x, -y)), "turned by half a turn"),
    ("turned left", _each(lambda x, y: (y, -x)), "turned a quarter to the left"),
    ("turned right", _each(lambda x, y: (-y, x)), "turned a quarter to the right"),
    ("mirrored", _each(lambda x, y: (-x, y)), "mirrored left to right"),
    ("mirrored the other way", _each(lambda x, y: (x, -y)), "mirrored top to bottom"),
    ("ten times as large", _each(lambda x, y: (10 * x, 10 * y)), "10 times the size"),
    ("read as inches", _each(lambda x, y: (round(x * 25.4), round(y * 25.4))),
     "25.4 times the size"),
    ("2 percent larger", _each(lambda x, y: (round(x * 1.02), round(y * 1.02))),
     r"1\.0[12]\d* times the size"),
    ("stretched", _each(lambda x, y: (round(x * 1.1), y)),
     r"1\.[01]\d* times as long and 1 times as high"),
    ("one hole moved", _move({200: (10, 0)}),
     r"hole 200 of \d+, at .*, is moved by 1\.0 mm to the right$"),
    ("one hole moved down", _move({31: (0, 15)}),
     r"hole 31 of \d+, at .*, is moved by 1\.5 mm down$"),
    ("three holes moved", _move({50: (0, -12), 60: (30, 0), 90: (5, 0)}),
     r"3 holes are moved by up to 3\.[01] mm; the first: hole 50 of \d+, at .* 1\.2 mm up"),
    ("shifted and a hole moved",
     lambda rows: _move({70: (0, 20)})(_each(lambda x, y: (x + 40, y))(rows)),
     r"shifted by 4\.0 mm to the right, hole 70 of \d+, at .* 2\.0 mm down"),
    ("reversed", _backwards, "sewn in reverse"),
    ("in another order", _halves_swapped, "sewn in another order; the first difference is hole 1,"),
    ("cut off", _cut_after(300), r"cut off after 300 of \d+ holes"),
    ("without its beginning", _without(1, 40), r"the first 40 of \d+ holes are missing"),
    ("a hole missing", _without(120, 120), r"1 hole is missing after hole 119, at"),
    ("ten holes missing", _without(120, 129), r"10 holes are missing after hole 119, at"),
]  # fmt: skip


@pytest.mark.parametrize(("harm", "words"), [row[1:] for row in STITCH_FILES],
                         ids=[row[0] for row in STITCH_FILES])  # fmt: skip
def test_what_is_the_matter_with_a_stitch_file_is_named(
    project: Path, tmp_path: Path, harm: Harm, words: str
) -> None:
    told, same = _told(project, tmp_path, "file.dst", _dst(_set(project)["whole.dst"], harm))
    assert not same
    assert re.search(words, told), told


def test_coding_again_without_harm_is_as_meant(project: Path, tmp_path: Path) -> None:
    """So that it is the harm that is named above, not the coding."""
    told, same = _told(project, tmp_path, "file.dst", _dst(_set(project)["whole.dst"], lambda r: r))
    assert same, told


def _text(old: str, new: str, count: int = 1) -> Callable[[bytes], bytes]:
    return lambda contents: re.sub(old, new, contents.decode(), count=count).encode()


def _half(contents: bytes) -> bytes:
    return b"\n".join(contents.split(b"\n")[: contents.count(b"\n") // 2]) + b"\n"


def _dxf(change: Callable[[float, float], tuple[float, float]]) -> Callable[[bytes], bytes]:
    def harm(contents: bytes) -> bytes:
        drawing = ezdxf.read(io.StringIO(contents.decode()))
        for line in drawing.modelspace().query("LWPOLYLINE"):
            line.set_points([change(x, y) for x, y in line.get_points("xy")], format="xy")
        stream = io.StringIO()
        drawing.write(stream)
        return stream.getvalue().encode()

    return harm


PATH_FILES: list[tuple[str, str, Callable[[bytes], bytes], str]] = [
    ("no end mark", "whole.dst", lambda b: b[: b.rindex(b"\0\0\xf3")],
     "every point is there, but the mark of its end is missing"),
    ("no M2", "whole.gcode", _text("M2\n", ""), "the mark of its end is missing"),
    ("in inches", "whole.gcode", _text("G21", "G20"), "25.4 times the size"),
    ("half of it", "whole.gcode", _half, r"cut off after \d+ of \d+ points"),
    ("a point moved", "whole.gcode", _text(r"(G1 X\S+ Y)(\S+)( F\d+\n)", r"\g<1>7.000\3"),
     r"point 2 of \d+, at .*, is moved by"),
    ("mirrored", "whole.dxf", _dxf(lambda x, y: (-x, y)), "mirrored left to right"),
    ("shifted", "whole.dxf", _dxf(lambda x, y: (x + 12, y + 12)),
     r"shifted by 12\.00 mm to the right and 12\.00 mm up"),
    ("in inches", "whole.dxf", _text(r"\$INSUNITS\n 70\n4", "$INSUNITS\n 70\n1"),
     "25.4 times the size"),
    ("free turn", "whole.dxf",
     _dxf(lambda x, y: (x * 0.9986295 - y * 0.0523360, x * 0.0523360 + y * 0.9986295)),
     r"turned by 3\.00 degrees to the left"),
    ("half of it", "whole.svg", _half, r"cut off after \d+ of \d+ points"),
    ("twice as wide", "whole.svg", _text(r'width="[\d.]+mm"', 'width="999mm"'),
     "times the size"),
    ("half of it", "whole-points.csv", _half, r"cut off after \d+ of \d+ points"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "harm", "words"), [row[1:] for row in PATH_FILES],
                         ids=[f"{row[1]} {row[0]}" for row in PATH_FILES])  # fmt: skip
def test_what_is_the_matter_with_other_files_is_named(
    project: Path, tmp_path: Path, name: str, harm: Callable[[bytes], bytes], words: str
) -> None:
    before = _set(project)[name]
    after = harm(before)
    assert after != before, "the harm must be done"
    told, same = _told(project, tmp_path, name, after)
    assert not same
    assert re.search(words, told), told


@pytest.mark.parametrize("ending", [".dst", ".gcode", ".dxf", ".svg", "-points.csv"])
@pytest.mark.parametrize(
    ("stem", "words"),
    [
        ("whole", "this is whole of the project, as meant"),
        ("whole-trace", "this is whole-trace of the project, as meant"),
        ("whole-from-3", "this is the file to resume whole from c3 of the project, as meant"),
    ],
)
def test_each_of_the_projects_own_files_is_known(
    project: Path, tmp_path: Path, stem: str, ending: str, words: str
) -> None:
    told, same = _told(project, tmp_path, f"file{ending}", _set(project)[stem + ending])
    assert same, told
    assert told == words


def test_another_projects_file_and_another_version_are_told_apart(
    project: Path, tmp_path: Path
) -> None:
    """Another angle of the lines is another drawing; one row more is another version."""
    files = {}
    for name, old, new in (
        ("other", "angle = 35", "angle = 80"),
        (
            "version",
            "[sewing]",
            '[[quilting]]\nkind = "straight"\nangle = 0\nspacing = 90\n[sewing]',
        ),
    ):
        folder = tmp_path / name
        folder.mkdir()
        (folder / "club.toml").write_text(CLUB)
        (folder / "runner.toml").write_text(PROJECT.replace(old, new))
        made = machine_files(compute(load(folder / "runner.toml")))
        files[name] = {file.name: file.content for file in made}["machine/whole.dst"]
    told, same = _told(project, tmp_path, "other.dst", files["other"])
    assert not same
    assert "no file of the project" in told
    told, same = _told(project, tmp_path, "version.dst", files["version"])
    assert not same
    assert re.search(r"another version: \d+% of the holes lie on lines of both", told), told


@pytest.mark.parametrize("name", ["noise.dxf", "noise.svg", "noise.gcode", "noise.nc"])
@pytest.mark.parametrize(
    "contents", [b"", b"\x00" * 300, b"G91\nG1 X3 Y4\n", b"<svg", b"<!DOCTYPE a>"]
)
def test_noise_is_refused_in_one_line(tmp_path: Path, name: str, contents: bytes) -> None:
    file = tmp_path / name
    file.write_bytes(contents)
    with pytest.raises(InputError) as told:
        inspect_file_at(file)
    assert str(told.value).startswith(name)
    assert "\n" not in str(told.value)
