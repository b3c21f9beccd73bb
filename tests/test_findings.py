"""What a person is told, and what only the report keeps."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.findings import MOST_TO_THINK_ABOUT, Finding, Rank, for_a_person

PLAIN = """
units = "mm"
runner = { length = 1800, width = 300 }
quilting = [{ kind = "straight", spacing = 50 }]
"""


def test_what_stops_the_work_comes_first_and_the_record_is_not_told() -> None:
    found = [Finding("seam-missed", "a"), Finding("sewn-once", "b"), Finding("gap-too-wide", "c")]
    assert [one.code for one in for_a_person(found)] == ["gap-too-wide", "seam-missed"]


def test_like_ones_are_joined_and_few_are_left() -> None:
    alike = [Finding("seam-missed", f"line {n} misses a seam") for n in range(8)]
    (told,) = for_a_person(alike)
    assert told.message == "line 0 misses a seam, and 7 more like it"
    many = [Finding(f"thought-{n}", "x") for n in range(20)]
    stops = [Finding("gap-too-wide", "y")]
    assert len(for_a_person([*many, *stops])) == MOST_TO_THINK_ABOUT + 1


def test_a_mild_case_is_for_the_record() -> None:
    assert Finding("density-uneven", "x").rank is Rank.THINK
    assert Finding("density-uneven", "x", mild=True).rank is Rank.RECORD


@pytest.mark.parametrize(
    ("lines", "code", "told"),
    [
        ('[machine]\nprofile = "longarm-small"', 1, "the smallest rail that would do"),
        ('[machine]\nformats = ["cad"]', 2, "machine.formats: 'cad' is not a format"),
        ('[paper]\nsize = "Parchment"\nsheets = ["marking"]', 2, "paper"),
        ('[machine]\nprofile = "no-such-frame"', 2, "no-such-frame"),
    ],
)
def test_check_says_what_make_says(tmp_path: Path, lines: str, code: int, told: str) -> None:
    """A runner of 1800 mm on a rail of 1500 mm, and names that nobody knows."""
    file = tmp_path / "runner.toml"
    file.write_text(PLAIN + lines)
    checked = CliRunner().invoke(main, ["check", str(file)])
    made = CliRunner().invoke(main, ["make", str(file), "--out", str(tmp_path / "out")])
    assert (checked.exit_code, made.exit_code) == (code, 2)
    assert told in checked.output and told in made.output
    assert not (tmp_path / "out").exists()
