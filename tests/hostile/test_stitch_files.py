"""Stitch files cut short, with wild counts, or of something else: facts or one line, in bounds."""

from __future__ import annotations

import random
import struct
from pathlib import Path

import pyembroidery
import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.formats import deliver, inspect_file
from quiltpath.jobs.inspect_file import MAX_STITCH_FILE_BYTES
from tests.formats.designs import four_runs

READ = sorted({f["extension"] for f in pyembroidery.supported_formats() if f.get("reader")})
CHANCE = random.Random(9)
CONTENTS = {
    "nothing": b"",
    "one byte": b"\x80",
    "zeros": bytes(3000),
    "ones": b"\xff" * 3000,
    "a header and no more": bytes(512),
    "noise": CHANCE.randbytes(5000),
    "words": b"This is a letter.\n" * 100,
    "commas": b"1,2,3\n" * 500,
    "one field without end": b"9" * 150_000,
    "brackets": b"[" * 50_000,
    "no number": b'{"stitches": [[NaN, 1e999, 0], [0, 0, 0]]}',
    "a quote that never ends": b'"' + b"a," * 100_000,
}


def facts_or_one_line(content: bytes, extension: str) -> bool:
    """True where the file was read; a refusal must be one line."""
    try:
        facts = inspect_file(content, extension, f"any.{extension}")
    except InputError as error:
        assert "\n" not in str(error) and len(str(error)) < 300
        return False
    assert facts.stitches >= 0 and facts.width_mm >= 0
    return True


@pytest.mark.parametrize("extension", READ)
def test_anything_at_all_is_read_or_told_in_one_line(extension: str) -> None:
    for content in CONTENTS.values():
        facts_or_one_line(content, extension)


@pytest.mark.parametrize("extension", ["dst", "pes", "exp", "jef", "vp3", "xxx", "u01"])
def test_cut_short_anywhere_it_is_read_or_told_in_one_line(extension: str) -> None:
    whole = deliver(four_runs(), extension, "torn")[0]
    assert facts_or_one_line(whole, extension)
    for cut in [*range(0, 40), *range(40, len(whole), max(1, len(whole) // 60))]:
        facts_or_one_line(whole[:cut], extension)


@pytest.mark.parametrize("extension", ["dst", "pes", "jef", "vp3", "xxx", "u01"])
@pytest.mark.parametrize("count", [0x7FFFFFFF, 0xFFFFFFFF, 0x80000000, 0xFFFF])
def test_a_wild_count_anywhere_in_the_header_makes_no_wild_work(extension: str, count: int) -> None:
    """Counts and offsets of the header overwritten, both byte orders: the file's own length
    bounds the reading."""
    whole = bytearray(deliver(four_runs(), extension, "wild")[0])
    for at in range(0, min(len(whole) - 4, 256), 4):
        for order in "<>":
            spoilt = bytearray(whole)
            spoilt[at : at + 4] = struct.pack(f"{order}I", count)
            facts_or_one_line(bytes(spoilt), extension)


def test_a_text_header_with_wild_counts_is_read_by_its_records() -> None:
    whole = deliver(four_runs(), "dst", "wild")[0]
    at = whole.index(b"ST:")
    wild = whole[:at] + b"ST:9999999" + whole[at + 10 :]
    assert inspect_file(wild, "dst").stitches == inspect_file(whole, "dst").stitches


def test_a_file_above_the_limit_is_refused_unread(tmp_path: Path) -> None:
    large = tmp_path / "large.dst"
    with large.open("wb") as file:
        file.truncate(MAX_STITCH_FILE_BYTES + 1)
    answer = CliRunner().invoke(main, ["inspect", str(large)])
    assert answer.exit_code == 2
    assert "larger than 20 MB" in answer.output


def test_a_device_and_a_folder_are_no_stitch_files(tmp_path: Path) -> None:
    (tmp_path / "folder.dst").mkdir()
    (tmp_path / "link.dst").symlink_to("/dev/zero")
    (tmp_path / "nowhere.dst").symlink_to(tmp_path / "not there")
    for name in ("folder.dst", "link.dst", "nowhere.dst", "absent.dst"):
        answer = CliRunner().invoke(main, ["inspect", str(tmp_path / name)])
        assert answer.exit_code == 2, answer.output
        assert "Traceback" not in answer.output
