"""What is told of a stitch file, and what damaged and hostile files come to."""

from __future__ import annotations

import random

import numpy as np
import pytest

from quiltpath.errors import InputError
from quiltpath.formats import FORMATS, StitchFormat, inspect_file, write
from quiltpath.formats.stitch_reading import LARGEST_FILE
from tests.formats.designs import Sewn, along, four_runs, stitches_of


def _readable() -> list[str]:
    """Every extension for which the library has a reader."""
    import pyembroidery

    rows = pyembroidery.EmbPattern.supported_formats()
    return sorted({row["extension"] for row in rows if row and row.get("reader")})


STITCHED = sorted(name for name, form in FORMATS.items() if isinstance(form, StitchFormat))


@pytest.mark.parametrize("extension", STITCHED)
def test_a_line_of_a_hundred_millimetres_is_told_as_such(extension: str) -> None:
    """100 mm in 31 stitches, then a cut, then 20 mm in 10: worked by hand."""
    runs = [Sewn(along((0, 0), (100, 0))), Sewn(along((0, 50), (20, 50), step=2.0))]
    told = inspect_file(write(stitches_of(runs), extension, "line"), extension)
    assert (told.width_mm, told.height_mm) == (pytest.approx(100, abs=0.11), pytest.approx(50))
    assert told.size_in[0] == pytest.approx(3.937, abs=0.005)  # 100 / 25.4
    assert told.stitches == 31 + 10
    assert told.stitch_mm == pytest.approx((2.0, 100 / 31, 100 / 31), abs=0.11)
    assert told.sewn_mm == pytest.approx(120, abs=0.2)
    assert (told.trims, told.colour_changes + told.stops, told.jumps) == (1, 0, 1)
    assert told.start_mm == (pytest.approx(-50, abs=0.06), pytest.approx(-25, abs=0.06))
    assert told.end_mm == (pytest.approx(-30, abs=0.06), pytest.approx(25, abs=0.06))


def test_halts_are_told_as_the_file_has_them() -> None:
    assert inspect_file(write(four_runs(), "dst", "x"), "dst").colour_changes == 2
    assert inspect_file(write(four_runs(), "u01", "x"), "u01").stops == 2


def test_the_extension_may_have_a_dot_and_capitals() -> None:
    assert inspect_file(write(four_runs(), "dst", "x"), ".DST").extension == "dst"


def _told_or_refused(contents: bytes, extension: str) -> None:
    try:
        told = inspect_file(contents, extension, f"galley.{extension}")
    except InputError as error:
        assert str(error).startswith(f"galley.{extension}")
        assert "\n" not in str(error)
    else:
        assert np.isfinite([told.width_mm, told.height_mm, told.sewn_mm]).all()


@pytest.mark.parametrize("extension", STITCHED)
def test_a_truncated_file_is_told_or_refused_in_one_line(extension: str) -> None:
    contents = write(four_runs(), extension, "x")
    for length in [0, 1, 3, 40, 512, *range(len(contents) // 7, len(contents), len(contents) // 7)]:
        _told_or_refused(contents[:length], extension)


@pytest.mark.parametrize("extension", STITCHED)
def test_a_file_with_flipped_bytes_is_told_or_refused_in_one_line(extension: str) -> None:
    original = write(stitches_of([Sewn(along((0, 0), (60, 20)))]), extension, "x")
    chance = random.Random(extension)
    for _ in range(60):
        contents = bytearray(original)
        for _ in range(8):
            contents[chance.randrange(len(contents))] = chance.randrange(256)
        _told_or_refused(bytes(contents), extension)


@pytest.mark.parametrize("extension", _readable())
def test_noise_is_told_or_refused_in_one_line_whatever_it_is_called(extension: str) -> None:
    chance = random.Random(extension)
    for size in (0, 7, 600, 5000):
        _told_or_refused(chance.randbytes(size), extension)
        _told_or_refused(b"\x00" * size, extension)
        _told_or_refused(b"\xff" * size, extension)
        _told_or_refused(write(four_runs(), "dst", "x")[:size], extension)


def test_a_text_file_nested_too_deeply_is_refused() -> None:
    with pytest.raises(InputError, match="damaged or no json file"):
        inspect_file(b"[" * 200_000, "json", "deep.json")


def test_a_file_with_wild_places_is_refused() -> None:
    wild = b'{"threadlist": [], "extras": {}, "stitches": [[1e400, 0, "STITCH"]]}'
    with pytest.raises(InputError, match="damaged"):
        inspect_file(wild, "json", "wild.json")


def test_an_oversized_file_is_refused_before_it_is_read() -> None:
    with pytest.raises(InputError, match="too large for a stitch file"):
        inspect_file(bytes(LARGEST_FILE + 1), "dst", "huge.dst")


def test_a_file_of_another_kind_is_refused() -> None:
    with pytest.raises(InputError, match=r"notes\.docx: 'docx' is not a stitch format"):
        inspect_file(b"PK", "docx", "notes.docx")
