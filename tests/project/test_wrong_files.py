"""A wrong project file is answered in one line: file, key, what is wrong, what would be right."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main

GOOD = """
title = "Supper"
units = "in"

[runner]
length = 70
width = 10

[grid]
along = 6
block = "10 in"
sashing = "2 in"

[[motif]]
name = "leaf"
file = "leaf.svg"
size = "6 in"
blocks = "all"

[[quilting]]
kind = "straight"
region = "blocks"
spacing = "about 1 in"

[stitch]
length = "3.2 mm"
"""

LEAF = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10">
<path d="M0 0 L10 0 L10 8 Z"/></svg>"""


def changed(old: str, new: str) -> str:
    assert old in GOOD
    return GOOD.replace(old, new)


# name: (text of the file, what its line must name: key, fault, remedy)
WRONG: dict[str, tuple[str, list[str]]] = {
    "unknown key": (changed("sashing =", "sashin ="), ["grid.sashin", "no such key", "'sashing'"]),
    "unknown table": (changed("[grid]", "[gird]"), ["gird", "no such key", "'grid'"]),
    "unknown key in a layer": (
        changed('spacing = "about', 'spaceing = "about'),
        ["quilting[1].spaceing", "no such key", "'spacing'"],
    ),
    "unit missing": (
        changed('units = "in"', ""),
        ["runner.length", "unit is missing", 'units = "in"'],
    ),
    "unknown unit": (changed('"2 in"', '"2 hands"'), ["grid.sashing", "hands", "mm, cm, m, in"]),
    "unknown unit of the file": (changed('"in"', '"stone"'), ["units", "stone", "mm, cm, in"]),
    "negative size": (changed("length = 70", "length = -70"), ["runner.length", "-70", "above 0"]),
    "zero size": (changed("width = 10", "width = 0"), ["runner.width", "0", "above 0"]),
    "absurd size": (
        changed("length = 70", 'length = "70 km"'),
        ["runner.length", "km", "mm, cm, m, in"],
    ),
    "too large": (changed("length = 70", "length = 1e9"), ["runner.length", "100 m", "unit"]),
    "not a number": (changed("length = 70", "length = nan"), ["runner.length", "finite", "mm"]),
    "length missing": (changed("length = 70\n", ""), ["runner", "length is missing", "outline"]),
    "runner missing": (
        changed("[runner]\nlength = 70\nwidth = 10\n", ""),
        ["runner", "missing", "add"],
    ),
    "sashing wider than the block": (
        changed('sashing = "2 in"', 'sashing = "12 in"'),
        ["grid", "wider than the block", "quarter"],
    ),
    "sizes that contradict": (
        changed("along = 6", "along = 5"),
        ["grid.along", "5 x 10 in", "= 58 in", "70 in", "change one"],
    ),
    "no blocks": (changed("along = 6", "along = 0"), ["grid.along", "1", "0"]),
    "too many blocks": (changed("along = 6", "along = 10000"), ["grid.along", "500"]),
    "missing SVG": (
        changed("leaf.svg", "lost.svg"),
        ["motif[1].file", "no readable file 'lost.svg'", "beside the project"],
    ),
    "SVG without paths": (
        changed("leaf.svg", "empty.svg"),
        ["empty.svg", "no paths", "draw"],
    ),
    "SVG that is no XML": (changed("leaf.svg", "broken.svg"), ["broken.svg", "XML"]),
    "motif without a place": (
        changed('blocks = "all"\n', ""),
        ["motif[1]", "no place", "blocks"],
    ),
    "motif in a block that is not there": (
        changed('blocks = "all"', 'blocks = ["Z9"]'),
        ["motif[1].blocks", "'Z9'", "A1"],
    ),
    "motif larger than the runner": (
        changed('size = "6 in"', 'size = "30 in"'),
        ["motif[1]", "past the finished edge", "smaller"],
    ),
    "motif without a shape": (
        changed('file = "leaf.svg"\n', ""),
        ["motif[1]", "no shape", "file"],
    ),
    "motif drawn and traced": (
        changed('size = "6 in"', 'size = "6 in"\noutline = [[0, 0], [4, 0], [4, 4]]'),
        ["motif[1]", "both given", "keep one"],
    ),
    "drawn motif without a size": (
        changed('size = "6 in"\n', ""),
        ["motif[1]", "size is missing", "larger side"],
    ),
    "traced motif of two points": (
        changed('file = "leaf.svg"', "outline = [[0, 0], [4, 0]]"),
        ["motif[1]", "three points", "corners"],
    ),
    "traced motif that crosses itself": (
        changed('file = "leaf.svg"', "outline = [[0, 0], [4, 4], [4, 0], [0, 4]]"),
        ["motif[1].outline", "crosses itself", "once round"],
    ),
    "traced motif without an area": (
        changed('file = "leaf.svg"', "outline = [[0, 0], [4, 4], [8, 8]]"),
        ["motif[1].outline", "crosses itself", "once round"],
    ),
    "motif off the middle of no block": (
        changed('blocks = "all"', 'at = ["10 in", "5 in"]\noffset = ["1 in", "0 in"]'),
        ["motif[1]", "middle of a block", "blocks"],
    ),
    "self-crossing outline": (
        changed("length = 70\nwidth = 10", "outline = [[0, 0], [70, 10], [70, 0], [0, 10]]"),
        ["runner.outline", "crosses itself", "in order"],
    ),
    "outline of two points": (
        changed("length = 70\nwidth = 10", "outline = [[0, 0], [70, 12]]"),
        ["runner", "three points", "corners"],
    ),
    "outline and size": (
        changed("width = 10", "width = 10\noutline = [[0, 0], [70, 0], [70, 12]]"),
        ["runner", "both given", "keep one"],
    ),
    "spacing 0": (
        changed('"about 1 in"', '"0 in"'),
        ["quilting[1].spacing", "draws no lines", "above 0"],
    ),
    "stitch length 0": (
        changed('length = "3.2 mm"', 'length = "0 mm"'),
        ["stitch.length", "0 mm", "above 0"],
    ),
    "stitch length out of bounds": (
        changed('length = "3.2 mm"', 'length = "4 mm"'),
        ["stitch", "4 mm", "3 to 3.5", "widen"],
    ),
    "spacing for over five million stitches": (
        changed('region = "blocks"\nspacing = "about 1 in"', 'spacing = "0.5 mm"')
        .replace("length = 70\nwidth = 10", "length = 140\nwidth = 120")
        .split("[grid]")[0]
        + '[[quilting]]\nkind = "straight"\nspacing = "0.5 mm"\n',
        ["quilting[1]", "stitches", "or more"],
    ),
    "kind that is not there": (
        changed('"straight"', '"strait"'),
        ["quilting[1]", "'strait'", "straight"],
    ),
    "kind that is no word": (
        changed('kind = "straight"', "kind = []"),
        ["quilting[1]", "no kind []", "straight"],
    ),
    "neither kind nor pattern": (
        changed('kind = "straight"\n', ""),
        ["quilting[1]", "neither kind nor pattern", "patterns"],
    ),
    "pattern that is not there": (
        changed('kind = "straight"', 'pattern = "squar-grid"'),
        ["quilting[1].pattern", "'squar-grid'", "square-grid"],
    ),
    "region that is not there": (
        changed('"blocks"\nspacing', '"blokcs"\nspacing'),
        ["quilting[1]", "'blokcs'", "blocks"],
    ),
    "both families alike": (
        changed('kind = "straight"', 'kind = "grid"\nangles = [45, 225]'),
        ["quilting[1]", "same way", "different"],
    ),
    "angle that is too large": (
        changed('kind = "straight"', 'kind = "straight"\nangle = 400'),
        ["quilting[1].angle", "400", "360"],
    ),
    "policy that is not there": (
        GOOD + '\n[sewing]\npolicy = "hop"\n',
        ["sewing.policy", "'hop'", "hoop"],
    ),
    "format that is not there": (
        GOOD + '\n[machine]\nformats = ["dsst"]\n',
        ["machine.formats", "dsst", "dst"],
    ),
    "wadding that is not there": (
        GOOD + '\n[wadding]\nkind = "straw"\n',
        ["wadding", "straw", "cotton"],
    ),
    "measured lines in disorder": (
        changed(
            'along = 6\nblock = "10 in"\nsashing = "2 in"',
            "printed_along = [0, 10, 9, 20]\nprinted_across = [0, 12]",
        ),
        ["grid", "printed_along", "in order"],
    ),
    "not TOML": ("title = \n[runner]", ["line 1", "title has no value", "title ="]),
    "text for a table": ('runner = "long"', ["runner", "long"]),
    "panel join off the runner": (
        changed("width = 10", 'width = 10\npanel_join = "80 in"'),
        ["runner.panel_join", "not on the runner", "between"],
    ),
}


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    (tmp_path / "leaf.svg").write_text(LEAF, encoding="utf-8")
    (tmp_path / "empty.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg"/>')
    (tmp_path / "broken.svg").write_text("<svg><path d=")
    return tmp_path


def test_the_file_that_is_spoilt_below_is_good(bench: Path) -> None:
    (bench / "good.toml").write_text(GOOD, encoding="utf-8")
    answer = CliRunner().invoke(main, ["make", str(bench / "good.toml"), "--out", str(bench / "o")])
    assert answer.exit_code == 0, answer.output
    assert (bench / "o" / "report.json").exists()


@pytest.mark.parametrize("mistake", WRONG)
def test_a_mistake_is_told_in_one_line_and_nothing_is_written(mistake: str, bench: Path) -> None:
    text, expected = WRONG[mistake]
    (bench / "wrong.toml").write_text(text, encoding="utf-8")
    answer = CliRunner().invoke(
        main, ["make", str(bench / "wrong.toml"), "--out", str(bench / "out")]
    )
    assert answer.exit_code == 2, answer.output
    assert answer.exception is None or isinstance(answer.exception, SystemExit)
    (line,) = answer.output.strip().splitlines()
    assert line.startswith("wrong.toml: ")
    for part in expected:
        assert part in line, f"{part!r} is not in: {line}"
    assert not (bench / "out").exists()
    assert {path.name for path in bench.iterdir()} <= {
        "wrong.toml",
        "leaf.svg",
        "empty.svg",
        "broken.svg",
    }


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"\xff\xfetitle", "not UTF-8"),
        (b"a = [" + b"[" * 5000 + b"]" * 5000 + b"]", "nested"),
        (b"#" * 1_500_000, "larger than a megabyte"),
    ],
    ids=["encoding", "depth", "size"],
)
def test_bytes_that_are_no_project_are_told_in_one_line(
    content: bytes, fault: str, tmp_path: Path
) -> None:
    (tmp_path / "odd.toml").write_bytes(content)
    answer = CliRunner().invoke(main, ["check", str(tmp_path / "odd.toml")])
    assert answer.exit_code == 2
    assert answer.output.startswith("odd.toml: ")
    assert fault in answer.output


def test_windows_line_ends_and_a_byte_order_mark_do_not_matter(bench: Path) -> None:
    (bench / "dos.toml").write_bytes(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    answer = CliRunner().invoke(main, ["check", str(bench / "dos.toml")])
    assert answer.exit_code in (0, 1), answer.output


def test_the_module_runs_as_the_command_does(tmp_path: Path) -> None:
    answer = subprocess.run(
        [sys.executable, "-m", "quiltpath", "check", str(tmp_path / "none.toml")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert answer.returncode == 2
    assert answer.stderr.count("\n") == 1
    assert "none.toml" in answer.stderr
    assert "Traceback" not in answer.stderr
