"""The step at which a machine is loaded: its figures are those of the files."""

from __future__ import annotations

import json
import re
from pathlib import Path
from unittest.mock import patch

import numpy as np
import pytest

from quiltpath.documents.instructions import Layout, Step, steps
from quiltpath.documents.instructions.crosses_step import MOST_TOLD as MOST_CROSSES
from quiltpath.documents.instructions.machine_step import MOST_TOLD
from quiltpath.drawing.page_model import Text
from quiltpath.errors import InputError
from quiltpath.formats import inspect_file
from quiltpath.jobs.machine_files import machine_files
from quiltpath.jobs.make import outputs
from quiltpath.project import load, parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import Measures

RUNNER = """
title = "Galley mat"
units = "mm"
[runner]
length = 600
width = 300
[[quilting]]
kind = "straight"
angle = 45
spacing = 60
"""


def _result(profile: str) -> Result:
    return compute(parse(f'{RUNNER}[machine]\nprofile = "{profile}"\nformats = ["dst"]\n'))


def _steps(result: Result) -> dict[str, Step]:
    own = steps(result, Layout.of("A4", False).picture_room, Measures("both"))
    return {step.title: step for step in own}


@pytest.mark.parametrize("profile", ["hoop-200x300", "longarm-small", "gantry"])
def test_the_screens_size_and_the_start_are_those_of_the_files(profile: str) -> None:
    result = _result(profile)
    told = " ".join(_steps(result)["Load the machine"].tasks)
    sizes = re.findall(r"(\S+): the screen must show ([\d.]+) x ([\d.]+) mm", told)
    starts = re.findall(
        r"first stitch is ([\d.]+) mm (right|left) and ([\d.]+) mm (above|below) the", told
    )
    files = {file.name: file for file in machine_files(result)}
    assert len(sizes) == len(starts) >= 1
    for (name, wide, high), (x, side, y, level) in zip(sizes, starts, strict=True):
        seen = inspect_file(files[f"machine/{name}.dst"].content, "dst")
        assert (float(wide), float(high)) == pytest.approx(
            (seen.width_mm, seen.height_mm), abs=0.16
        )
        start = (
            float(x) * (1 if side == "right" else -1),
            float(y) * (1 if level == "above" else -1),
        )
        assert start == pytest.approx(seen.start_mm, abs=0.2)


@pytest.mark.parametrize(
    ("profile", "first", "later"),
    [("hoop-200x300", 350, 600), ("longarm-small", 600, 1500), ("gantry", 150, 400)],
)
def test_the_first_run_is_slow_and_the_usual_cautions_stand_there(
    profile: str, first: int, later: int
) -> None:
    """Speeds as in the shipped profiles; the cautions are common practice."""
    step = _steps(_result(profile))["Load the machine"]
    assert (
        f"no faster than {first} stitches a minute the first time; after that {later}"
        in step.tasks[-1]
    )
    cautions = " ".join(step.cautions)
    for word in ("needle up", "hands, hair", "Stay with the machine", "own manual comes before"):
        assert word in cautions
    assert "mirrored" in " ".join(step.tasks) and "25.4" in " ".join(step.tasks)


def test_each_part_is_told_one_by_one_and_many_are_left_to_their_pages() -> None:
    result = _result("hoop-100x100")
    machine = result.machine_parts
    assert machine is not None
    tasks = _steps(result)["Load the machine"].tasks
    assert sum("the screen must show" in task for task in tasks) == MOST_TOLD
    left = len(machine.parts) - MOST_TOLD
    assert left > 0
    assert any(task.startswith(f"{left} more parts: ") for task in tasks)


def test_a_machine_that_sews_in_parts_is_not_told_to_follow_the_numbers_of_the_whole() -> None:
    parts, whole = _result("longarm-small"), _result("longarm-medium")
    in_parts = " ".join(_steps(parts)["Quilt"].tasks)
    at_once = " ".join(_steps(whole)["Quilt"].tasks)
    assert "in the order of their names" in in_parts and "order of the numbers" not in in_parts
    assert "Sew in the order of the numbers in the drawings" in at_once


def test_without_a_machine_there_is_no_such_step() -> None:
    result = compute(parse(RUNNER))
    assert "Load the machine" not in _steps(result)


def test_the_page_is_in_the_set() -> None:
    files = {file.name: file.content for file in outputs(_result("longarm-small"))}
    assert b"Load the machine" in files["instructions.html"]
    assert b"the screen must show" in files["instructions.html"]


@pytest.mark.parametrize("profile", ["longarm-small", "gantry"])
def test_of_a_machine_in_parts_the_crosses_are_marked_and_no_line(profile: str) -> None:
    """Each cross as the files have it, from the corner that a person measures from."""
    result = _result(profile)
    machine = result.machine_parts
    assert machine is not None
    own = _steps(result)
    if machine.in_one:
        assert "Mark the flat top" not in own
        return
    step = own["Mark the flat top"]
    told = re.findall(
        r"Cross x\d+: [^()]*\(([\d.]+) mm\) from the left end,"
        r" [^()]*\(([\d.]+) mm\) from the lower",
        " ".join(step.tasks),
    )
    placed = sorted((float(x), float(y)) for x, y in told)
    assert np.array(placed) == pytest.approx(np.array(sorted(machine.crosses.tolist())), abs=0.3)
    assert len(placed) >= 2
    assert "marking.pdf" not in " ".join(step.tasks)


def test_many_crosses_are_told_row_by_row() -> None:
    """Each once, measured from two edges: nobody adds distances from the middles of parts."""
    result = _result("hoop-100x100")
    machine = result.machine_parts
    assert machine is not None and len(machine.crosses) > MOST_CROSSES
    tasks = _steps(result)["Mark the flat top"].tasks
    placed = []
    for row in (task for task in tasks if ": at " in task):
        head, listed = row.split(": at ")
        assert head.endswith(("from the lower edge", "from the left end"))
        (one,) = [float(mm) for mm in re.findall(r"\(([\d.]+) mm\)", head)]
        others = [float(mm) for mm in re.findall(r"\(([\d.]+) mm\)", listed)]
        up = head.endswith("lower edge")
        placed += [(other, one) if up else (one, other) for other in others]
    assert len(placed) == len(machine.crosses)
    assert "which two are its own" in tasks[-1]
    away = np.array(placed)[:, None] - machine.crosses[None]
    assert np.abs(away).max(axis=2).min(axis=0).max() <= 0.3


def test_more_rows_of_crosses_than_a_page_holds_are_left_to_the_placement_pages() -> None:
    result = _result("hoop-100x100")
    machine = result.machine_parts
    assert machine is not None
    with patch("quiltpath.documents.instructions.crosses_step.MOST_ROWS", 1):
        told = " ".join(_steps(result)["Mark the flat top"].tasks)
    assert f"{len(machine.crosses)} crosses: placement.pdf" in told
    assert "from the lower edge" not in told.partition("runner. ")[2]


def test_an_outline_of_its_own_is_cut_only_once_it_is_quilted() -> None:
    """What is cut off beforehand would carry neither the crosses nor the pins of the corners."""
    pointed = RUNNER.replace("[runner]", '[runner]\nshape = "pointed"')
    for text, wanted in ((RUNNER, False), (pointed, True)):
        own = _steps(compute(parse(text)))
        assert ("Leave it a rectangle" in " ".join(own["Prepare the top"].tasks)) is wanted


def test_a_machine_s_refusal_is_told_in_the_units_of_the_file() -> None:
    """As a finding and as the line that ``make`` ends with: no inches in a file of millimetres."""
    long = RUNNER.replace("length = 600", "length = 2600")
    result = compute(parse(f'{long}[machine]\nprofile = "longarm-small"\nformats = ["dst"]\n'))
    (finding,) = [f for f in result.findings if f.code == "machine-cannot-sew-it"]
    with pytest.raises(InputError) as caught:
        machine_files(result)
    for told in (f"{finding.message} {finding.remedy}", str(caught.value)):
        assert " mm" in told and not re.search(r"\d in\b", told), told


def test_of_bobbins_a_machine_s_own_sheet_speaks_alone() -> None:
    """Its files halt where its own parts run out, which is not where one go would."""
    little = "[thread]\nbobbin = 3\n[machine]\n"
    halting = f'{little}profile = "longarm-small"\nformats = ["dst"]\n'
    for more, wanted in (
        (little, True),
        (halting, False),
        (f"{halting}bobbin_stops = false", True),
    ):
        codes = {finding.code for finding in compute(parse(RUNNER + more)).findings}
        assert bool(codes & {"bobbin-change", "bobbin-outlasted"}) is wanted


def test_the_picture_of_work_in_parts_has_no_number_of_one_go() -> None:
    """The step says that those numbers are not for it."""
    result = _result("longarm-small")
    machine = result.machine_parts
    assert machine is not None and not machine.in_one
    (picture,) = _steps(result)["Quilt"].pictures
    assert not [item for item in picture.items if isinstance(item, Text)]


@pytest.mark.parametrize(
    ("profile", "frame"), [("longarm-small", True), ("gantry", False), ("hoop-200x300", False)]
)
def test_on_a_frame_the_layers_are_held_by_rollers_and_basted_along_the_edge(
    profile: str, *, frame: bool
) -> None:
    """Rollers hold the layers (common practice); on a bed or in a hoop they are pinned."""
    result = _result(profile)
    own = _steps(result)
    assert ("Layer on the frame" in own) is frame and ("Layer and baste" in own) is not frame
    bought = " ".join(own["Gather what you need"].tasks)
    assert ("Basting pins" in bought) is not frame
    assert ("clips for the leaders" in bought) is frame
    report = json.loads({f.name: f.content for f in outputs(result)}["report.json"])
    assert report["cutting"]["basting"]["method"] == ("frame" if frame else "pins")
    if frame:
        told = " ".join(own["Layer on the frame"].tasks)
        assert "long edges of the backing to the leaders" in told
        assert "Baste it down along that edge, 1/8 in (3 mm) inside" in told


@pytest.mark.parametrize(
    ("small", "large"), [("longarm-small", "longarm-medium"), ("hoop-200x300", "hoop-large.toml")]
)
def test_what_is_sewn_in_one_part_has_no_crosses_and_is_not_rolled_on(
    small: str, large: str, tmp_path: Path
) -> None:
    (tmp_path / "hoop-large.toml").write_text(
        'title = "A large hoop"\nkind = "hoop"\nformats = ["dst"]\n'
        'field = { along = "700 mm", across = "400 mm" }\n'
    )
    for profile, in_parts in ((small, True), (large, False)):
        text = f'{RUNNER}[machine]\nprofile = "{profile}"\nformats = ["dst"]\n'
        result = compute(parse(text, folder=tmp_path))
        own = _steps(result)
        told = " ".join(task for step in own.values() for task in step.tasks)
        (sheet,) = [f for f in outputs(result) if f.name == "machine/LOADING.txt"]
        for words in (told, sheet.content.decode()):
            assert ("alignment crosses" in " ".join(words.split())) is in_parts
        assert ("rolling on" in told) is (in_parts and "longarm" in profile)


def test_a_frame_that_takes_basted_layers_has_them_pinned_where_the_file_says_so() -> None:
    result = compute(
        parse(f'{RUNNER}[machine]\nprofile = "longarm-small"\n[basting]\nmethod = "pins"\n')
    )
    own = _steps(result)
    assert "Basting pins" in " ".join(own["Gather what you need"].tasks)
    assert "Pin from the centre outwards" in " ".join(own["Layer and baste"].tasks)


@pytest.mark.parametrize(
    ("across", "told"), [(700, "all four edges, the far one first"), (500, "its left end straight")]
)
def test_a_runner_that_is_turned_has_its_short_edges_on_the_rollers(
    across: int, told: str, tmp_path: Path
) -> None:
    """A rail of 400 mm takes the width of 300, not the length of 600: in one pass, and in two."""
    (tmp_path / "short.toml").write_text(
        'title = "A short frame"\nkind = "longarm"\nformats = ["dst"]\nturns = true\n'
        f'field = {{ along = "400 mm", across = "{across} mm" }}\n'
    )
    (tmp_path / "runner.toml").write_text(f'{RUNNER}[machine]\nprofile = "short.toml"\n')
    own = _steps(compute(load(tmp_path / "runner.toml")))
    tasks = " ".join(own["Layer on the frame"].tasks)
    assert "short edges of the backing" in tasks and told in tasks


@pytest.mark.parametrize(
    ("more", "printed"),
    [
        ("", True),
        ('[machine]\nformats = ["dst"]\n', True),
        ('[machine]\nprofile = "hoop-200x300"\n', False),
        ('[machine]\nprofile = "longarm-small"\n', False),
        ('[machine]\nprofile = "longarm-small"\n[paper]\nsheets = ["marking"]\n', True),
    ],
)
def test_sheets_to_mark_by_are_printed_where_lines_are_marked(more: str, *, printed: bool) -> None:
    """A machine with a profile follows its files: no page is written that nobody uses, and no
    paper is laid ready for it."""
    result = compute(parse(RUNNER + more))
    assert ("marking.pdf" in {file.name for file in outputs(result)}) is printed
    gathered = " ".join(_steps(result)["Gather what you need"].tasks)
    assert ("printer paper" in gathered) is printed


def test_who_marks_neither_line_nor_cross_needs_no_marker() -> None:
    for profile, parts in (("longarm-small", True), ("longarm-medium", False)):
        result = _result(profile)
        gathered = " ".join(_steps(result)["Gather what you need"].tasks)
        assert ("a marker" in gathered) is parts


ONE_GO = '[sewing]\npolicy = "continuous"\n'


@pytest.mark.parametrize(
    ("layers", "more", "foot", "by_hand"),
    [
        (["lengthwise-lines"], "", "walking foot", None),
        (["loops"], "", "darning foot", "Loops"),
        (["along-the-sashing", "stipple"], "", "walking foot and darning foot", "Stipple"),
        (["lengthwise-lines", "stipple"], ONE_GO, "darning foot", "Lengthwise lines and Stipple"),
        (["loops"], '[instructions]\nfoot = "open-toe foot"\n', "open-toe foot", None),
        (["loops"], '[machine]\nprofile = "longarm-small"\n', "hopping foot", None),
    ],
)
def test_lines_that_a_walking_foot_cannot_turn_are_sewn_by_hand_with_a_darning_foot(
    layers: list[str], more: str, foot: str, by_hand: str | None
) -> None:
    """Free motion: darning foot, feed dogs down, the hands make the stitches (common practice);
    of 3.2 mm three go to the centimetre and eight to the inch."""
    quilting = "".join(f'[[quilting]]\npattern = "{name}"\n' for name in layers)
    if "along-the-sashing" in layers:
        quilting = f'grid = {{ along = 3, sashing = 20 }}\n{quilting}region = "blocks"\n'
    runner = 'units = "mm"\nrunner = { length = 600, width = 240, size_is = "flat" }\n'
    result = compute(parse(f"{runner}{quilting}{more}"))
    (told,) = [item for item in result.cutting.shopping if item.name == "foot"]
    assert (told.note, told.need) == (foot, 1 + (" and " in foot))
    tasks = _steps(result)["Quilt"].tasks
    assert f"; {foot};" in tasks[0]
    free = [task for task in tasks if "feed dogs down" in task]
    begun = [] if by_hand is None else [f"At a table sew {by_hand} with the darning foot"]
    assert [task.partition(", the feed dogs")[0] for task in free] == begun
    assert all("8 stitches to the inch, 3 to the centimetre" in task for task in free)
