"""A class: a folder for each, one shopping list, and nothing written where anything is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.jobs.make_several import make_several
from quiltpath.materials.merged_shopping import merged_shopping
from quiltpath.project import parse
from quiltpath.result.computing import compute

DESIGN = """
title = "Galley"
units = "in"
[runner]
length = "40 in"
width = "14 in"
[[quilting]]
kind = "straight"
spacing = "4 in"
"""


def class_of(folder: Path, table: str) -> tuple[Path, Path]:
    design, sizes = folder / "design.toml", folder / "pupils.csv"
    design.write_text(DESIGN, encoding="utf-8")
    sizes.write_text(table, encoding="utf-8")
    return design, sizes


def test_each_has_a_folder_and_all_have_one_list(tmp_path: Path) -> None:
    design, sizes = class_of(tmp_path, "name,size,copies\nAda,24 x 36 in,\nBen,mat 18 x 12 in,4\n")
    arguments = ["make", str(design), "--sizes", str(sizes), "--out", str(tmp_path / "class")]
    answer = CliRunner().invoke(main, arguments)
    assert answer.exit_code == 0, answer.output
    assert "Ben" in answer.output and "4 of it" in answer.output
    report = json.loads((tmp_path / "class" / "report.json").read_text(encoding="utf-8"))
    members = {one["name"]: one for one in report["class"]["members"]}
    # A table of 24 in and twice the usual drop of 8 in; a mat is as large as it is said.
    assert members["Ada"]["length_mm"] == pytest.approx(40 * 25.4)
    assert (members["Ben"]["length_mm"], members["Ben"]["copies"]) == (pytest.approx(457.2), 4)
    for name in ("ada", "ben"):
        own = json.loads((tmp_path / "class" / name / "report.json").read_text(encoding="utf-8"))
        assert all((tmp_path / "class" / name / file["path"]).is_file() for file in own["files"])
    listed = {file["path"] for file in report["files"]}
    assert {"class.pdf", "class.html", "ada/instructions.pdf", "ben/report.json"} <= listed


def test_the_same_class_again_takes_the_place_of_the_first(tmp_path: Path) -> None:
    """Who has left is gone with their folder; a file of the user's own stays."""
    design, sizes = class_of(tmp_path, "name,size\nAda,24 x 36 in\nBen,mat 18 x 12 in\n")
    out = tmp_path / "class"
    make_several([design], out, sizes)
    (out / "notes.txt").write_text("bring scissors", encoding="utf-8")
    sizes.write_text("name,size\nAda,24 x 36 in\n", encoding="utf-8")
    make_several([design], out, sizes)
    assert (out / "notes.txt").is_file() and (out / "ada").is_dir()
    assert not (out / "ben").exists()


def test_several_projects_of_one_title_get_folders_of_their_own(tmp_path: Path) -> None:
    design, _ = class_of(tmp_path, "")
    told = make_several([design, design], tmp_path / "both")
    assert (tmp_path / "both" / "galley").is_dir() and (tmp_path / "both" / "galley-2").is_dir()
    assert "class.pdf" in told


@pytest.mark.parametrize(
    ("table", "fault"),
    [
        ("", "line 1"),
        ("who,size\nAda,24 x 36 in\n", "line 1"),
        ("name,size\nAda,24 by 36\n", "line 2"),
        ("name,size\nAda,24 x 36 in\n,24 x 36 in\n", "line 3"),
        ("name,size,copies\nAda,24 x 36 in,many\n", "line 2"),
        ("name,size,copies\nAda,24 x 36 in,0\n", "line 2"),
        ("name,size\n", "0 are to be made"),
        ("name,size\n" + "Ada,24 x 36 in\n" * 41, "41 are to be made"),
    ],
)
def test_a_mistake_is_one_line_and_nothing_is_written(
    tmp_path: Path, table: str, fault: str
) -> None:
    design, sizes = class_of(tmp_path, table)
    with pytest.raises(InputError) as told:
        make_several([design], tmp_path / "class", sizes)
    assert fault in str(told.value) and "\n" not in str(told.value)
    assert not (tmp_path / "class").exists()


def test_the_set_of_one_project_is_not_swept_away_by_a_class(tmp_path: Path) -> None:
    design, _ = class_of(tmp_path, "")
    out = tmp_path / "out"
    assert CliRunner().invoke(main, ["make", str(design), "--out", str(out)]).exit_code == 0
    with pytest.raises(InputError, match="another set of files"):
        make_several([design, design], out)


def test_a_common_layout_takes_no_more_than_one_for_each_and_holds_all() -> None:
    """Three equal plans: as many pieces, no more cloth, thread added up, the stock once."""
    result = compute(parse(DESIGN + "[stock]\nbobbins = 1\n"))
    three = merged_shopping([(name, result.cutting) for name in "ABC"], 0.0)
    for layout in three.layouts:
        (one,) = [x for x in result.cutting.layouts if x.cloth.name == layout.cloth.name]
        assert layout.piece_count == 3 * one.piece_count
        assert layout.length_mm <= 3 * one.length_mm + 1e-6
        assert {p.piece.name[0] for p in layout.placed} == set("ABC")
    assert all(saved >= -1e-6 for _, saved in three.saved_mm)
    needs = {item.name: item for item in three.items}
    single = {item.name: item for item in result.cutting.shopping}
    for name in ("quilting thread", "bobbins", "basting pins"):
        assert needs[name].need == pytest.approx(3 * single[name].need)
    assert needs["bobbins"].have == 1
