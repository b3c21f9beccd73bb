"""All samples over all shipped machines, through the same door as the command line."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
import shapely
from click.testing import CliRunner, Result

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.formats import write
from quiltpath.jobs.machine_files import machine_files
from quiltpath.jobs.make import outputs
from quiltpath.machine import MachineKind, ProfileRegistry
from quiltpath.machine.part_plan import PartSetting, plan_parts
from quiltpath.machine.profile import profile_from
from quiltpath.project import load, parse
from quiltpath.project.document_sections import AlsoSection
from quiltpath.project.sewing_sections import MachineSection
from quiltpath.result.computing import compute
from quiltpath.result.machine_parts import Refusal
from quiltpath.result.values import Result as Made
from tests.formats.dst_decoder import decode_dst
from tests.whole_sets import computed

SAMPLES = Path(__file__).parent.parent.parent / "samples"
NAMES = ["harvest-supper", "galley", "allotment-ends", "supper-mats"]
MACHINES = ProfileRegistry().names()


def _for(name: str, **machine: object) -> Made:
    import dataclasses

    whole = computed(name)
    section = MachineSection.model_validate(machine)
    alone = whole.project.replaced(machine=section, also=AlsoSection.left_out())
    return dataclasses.replace(whole, project=alone)


def _fits(result: Made, machine: str) -> bool:
    """Whether a frame's rail is long enough; every other machine sews any length in parts."""
    profile = ProfileRegistry().find(machine)
    length = float(np.ptp(result.stitches.needle_holes[:, 0]))
    return profile.kind is not MachineKind.LONGARM or length <= profile.usable[0]


@pytest.mark.parametrize("machine", MACHINES)
@pytest.mark.parametrize("name", NAMES)
def test_every_sample_is_sewn_by_every_machine_or_refused_with_what_would_do(
    name: str, machine: str
) -> None:
    result = _for(name, profile=machine)
    if not _fits(result, machine):
        with pytest.raises(InputError, match="the smallest rail that would do lengthwise is"):
            machine_files(result)
        assert isinstance(result.machine, Refusal)
        assert any(finding.fails for finding in result.findings), "the check says so as well"
        return
    files = machine_files(result)
    assert all(file.verified for file in files if file.verified is not None)
    kinds = {file.kind for file in files}
    assert {"loading sheet", "placement"} < kinds
    machine_parts = result.machine_parts
    assert machine_parts is not None
    usable = np.array(machine_parts.profile.usable)
    for part in machine_parts.parts:
        assert (np.ptp(part.machine_stitches.points, axis=0) <= usable + 1e-6).all()


@pytest.mark.parametrize("name", NAMES)
def test_a_samples_hoopings_put_back_together_from_their_files_are_the_whole(name: str) -> None:
    """Decoded by the tests' own decoder and laid where the report says: every hole of the whole
    is sewn, and none lies anywhere else than the whole's holes and the securing beside a cut.
    """
    result = _for(name, profile="hoop-160x260", formats=("dst",))
    files = {file.name: file for file in outputs(result)}
    report = json.loads(files["report.json"].content)["machine"]
    found = []
    for part in report["parts"]:
        holes = decode_dst(files[f"machine/{part['name']}.dst"].content).holes_mm
        if part["turned"]:
            holes = np.column_stack([-holes[:, 1], holes[:, 0]])
        found.append(holes + np.array(part["centre_mm"]))
    together, whole = np.vstack(found), result.stitches.needle_holes
    near = _distance(whole, together)
    assert near.max() <= 0.1
    securing = result.project.stitch.securing_length
    strays = _distance(together, whole)
    assert strays.max() <= securing + 0.1
    assert np.count_nonzero(strays > 0.1) <= report["cuts"] * 2 * 6


SHALLOW = """
title = "A shallow frame"
kind = "longarm"
field = { along = "2400 mm", across = "320 mm" }
margin = "10 mm"
turns = false
trims = false
formats = ["dst", "dxf"]
"""


@pytest.mark.parametrize("name", NAMES)
def test_a_samples_passes_are_paths_of_their_own_with_fewer_starts_than_the_cut_up_whole(
    tmp_path: Path, name: str
) -> None:
    """Files read back; the stitched lines of the whole all there, at the place that is reported;
    starts in each file as the report and the sheet have them, and as few as theory allows."""
    file = _sample(tmp_path, 'profile = "shallow.toml"', name)
    (file.parent / "shallow.toml").write_text(SHALLOW, encoding="utf-8")
    result = compute(load(file))
    files = {file.name: file for file in outputs(result)}
    report = json.loads(files["report.json"].content)["machine"]
    sheet = " ".join(files["machine/LOADING.txt"].content.decode().split())
    found, starts = [], 0
    for part in report["parts"]:
        sewn = files[f"machine/{part['name']}.dst"]
        assert sewn.verified and files[f"machine/{part['name']}.dxf"].verified
        decoded = decode_dst(sewn.content)
        # A frame that cannot cut halts for the person between runs, as a change of colour.
        assert decoded.code.count("colour change") == part["starts"] - 1
        assert part["starts"] == part["starts_lower_bound"]
        one = "one continuous path of thread"
        several = f"{part['starts']} starts of thread, the fewest that these lines allow"
        assert (one if part["starts"] == 1 else several) in sheet
        starts += part["starts"]
        found.append(decoded.holes_mm + np.array(part["centre_mm"]))
    together = shapely.multipoints(np.vstack(found))
    lines = shapely.get_parts(shapely.segmentize(result.lines.geometry, 20.0))
    whole = shapely.points(shapely.get_coordinates(lines))
    if (overrun := report["division"]["overrun_mm"]) is not None:
        # What runs on further beyond the edge was left out, to be clamped or cut less often.
        whole = whole[shapely.dwithin(whole, result.runner.outline, overrun)]
    shapely.prepare(together)
    assert shapely.distance(whole, together).max() <= 3.5 / 2 + 0.1
    profile, runner = profile_from(SHALLOW.encode(), "shallow.toml"), result.runner
    setting = PartSetting()
    cut_up = plan_parts(
        result.stitches, profile, setting, outline=runner.outline, printed=runner.printed
    )
    pieces = sum(part.pieces for part in cut_up.parts)
    # The mats are closed lines that step into each other: cut up, they are at the fewest as well.
    assert starts < pieces or (name == "supper-mats" and starts == pieces)


def _distance(points: np.ndarray, others: np.ndarray) -> np.ndarray:
    tree = shapely.STRtree(shapely.points(others))
    pairs, away = tree.query_nearest(
        shapely.points(points), return_distance=True, all_matches=False
    )
    return away[np.argsort(pairs[0])]


def test_the_marking_guide_shows_the_crosses_of_the_machine() -> None:
    files = {file.name: file.content for file in outputs(_for("galley", profile="hoop-200x360"))}
    assert b'id="crosses"' in files["guide.svg"]
    plain = {file.name: file.content for file in outputs(_for("galley"))}
    assert b'id="crosses"' not in plain["guide.svg"]


def test_a_format_that_cannot_hold_the_halts_of_a_frame_is_refused() -> None:
    """A frame that cannot cut waits after each run, and xxx counts 20 halts (21 colours)."""
    result = _for("harvest-supper", profile="longarm-large", formats=("xxx",))
    assert len(result.runs) > 21
    told = r"machine\.formats: .*XXX: .* halts, and the format holds 20; leave that format out$"
    with pytest.raises(InputError, match=told):
        machine_files(result)


@pytest.mark.parametrize("machine", ['formats = ["dst"]', 'profile = "longarm-small"'])
def test_where_nothing_is_drawn_the_project_s_own_key_is_told(machine: str) -> None:
    """A gap of 150 mm does not fit on 100 mm, so that no line of a switchback is drawn."""
    text = f"""
        units = "mm"
        runner = {{ length = 400, width = 100 }}
        quilting = [{{ kind = "switchback", spacing = 150 }}]
        [machine]
        {machine}
    """
    with pytest.raises(InputError, match=r"quilting: nothing is drawn.*; give a closer spacing"):
        machine_files(compute(parse(text)))


def test_a_path_file_of_the_whole_needs_no_machine() -> None:
    files = {file.name for file in outputs(_for("galley", formats=("dxf", "points")))}
    assert {"runner.dxf", "runner-points.csv"} < files


def _sample(tmp_path: Path, machine: str, name: str = "galley") -> Path:
    folder = tmp_path / "project"
    shutil.copytree(SAMPLES / name, folder)
    file = folder / "runner.toml"
    text = file.read_text(encoding="utf-8")
    head = text[: text.index("[machine]")]
    file.write_text(f"{head}[machine]\n{machine}\n", encoding="utf-8")
    return file


def _run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


OWN = """
title = "The club's gantry"
kind = "gantry"
field = { along = "700 mm", across = "500 mm" }
formats = ["gcode"]
"""


def test_a_profile_beside_the_project_is_used(tmp_path: Path) -> None:
    file = _sample(tmp_path, 'profile = "club.toml"')
    (file.parent / "club.toml").write_text(OWN, encoding="utf-8")
    done = _run("make", file, "--out", tmp_path / "out")
    assert done.exit_code == 0, done.output
    made = sorted(path.name for path in (tmp_path / "out" / "machine").iterdir())
    assert made == [
        "LOADING.txt",
        "field-01-of-02-trace.gcode",
        "field-01-of-02.gcode",
        "field-02-of-02-trace.gcode",
        "field-02-of-02.gcode",
        "placement.pdf",
    ]


@pytest.mark.parametrize(
    ("machine", "told"),
    [
        ('profile = "loom"', "runner.toml: machine.profile: there is no machine 'loom'"),
        ('profile = "none.toml"', "runner.toml: machine.profile: there is no readable file"),
        ('profile = "bad.toml"', "bad.toml: title: is missing; add it"),
        ('formats = ["cad"]', "runner.toml: machine.formats: 'cad' is not a format; use dst"),
        ('order = "zigzag"', "runner.toml: machine.order: "),
        ('overlap = "-1 mm"', "runner.toml: machine.overlap: -1 mm is below 0"),
        ("overlap_stitches = 50", "runner.toml: machine.overlap_stitches: "),
        ('profile = "hoop-100x100"\noverlap = "60 mm"', "the smallest field that would do is"),
        ("profil = 1", "runner.toml: machine.profil: there is no such key; did you mean 'profile'"),
    ],
)
def test_a_wrong_machine_is_told_in_one_line_and_nothing_is_written(
    tmp_path: Path, machine: str, told: str
) -> None:
    file = _sample(tmp_path, machine)
    (file.parent / "bad.toml").write_text('kind = "hoop"', encoding="utf-8")
    done = _run("make", file, "--out", tmp_path / "out")
    assert done.exit_code == 2
    assert told in done.stderr
    assert done.stderr.count("\n") == 1
    assert not (tmp_path / "out").exists()


def test_inspect_tells_a_projects_own_file_from_a_mirrored_one(tmp_path: Path) -> None:
    import dataclasses

    stitches = computed("galley").stitches
    right, wrong = tmp_path / "right.dst", tmp_path / "wrong.dst"
    right.write_bytes(write(stitches, "dst", "galley"))
    mirrored = dataclasses.replace(stitches, points=stitches.points * (-1, 1))
    wrong.write_bytes(write(mirrored, "dst", "galley"))
    project = SAMPLES / "galley" / "runner.toml"
    done = _run("inspect", right, "--against", project)
    assert done.exit_code == 0
    assert "this is runner of the project, as meant" in done.output
    done = _run("inspect", wrong, "--against", project)
    assert done.exit_code == 1
    assert "mirrored left to right" in done.output


def test_inspect_knows_a_single_hooping_of_the_project(tmp_path: Path) -> None:
    file = _sample(tmp_path, 'profile = "hoop-200x360"')
    assert _run("make", file, "--out", tmp_path / "out").exit_code == 0
    hooping = sorted((tmp_path / "out" / "machine").glob("hooping-03*.pes"))[0]
    done = _run("inspect", hooping, "--against", file)
    assert done.exit_code == 0, done.output
    assert f"this is {hooping.stem} of the project, as meant" in done.output


def test_inspect_draws_a_picture_but_over_nothing(tmp_path: Path) -> None:
    stitch_file = tmp_path / "galley.exp"
    stitch_file.write_bytes(write(computed("galley").stitches, "exp", "galley"))
    for name, begins in (("galley.svg", b"<"), ("galley.png", b"\x89PNG")):
        done = _run("inspect", stitch_file, "--picture", tmp_path / name)
        assert done.exit_code == 0, done.output
        assert (tmp_path / name).read_bytes().startswith(begins)
        again = _run("inspect", stitch_file, "--picture", tmp_path / name)
        assert again.exit_code == 2
        assert "name a new file" in again.stderr
    wrong = _run("inspect", stitch_file, "--picture", tmp_path / "galley.bmp")
    assert "neither .svg nor .png" in wrong.stderr


def test_machines_are_listed_and_a_folder_of_ones_own_too(tmp_path: Path) -> None:
    (tmp_path / "club.toml").write_text(OWN, encoding="utf-8")
    listed = _run("machines", "--folder", tmp_path).output
    assert "The club's gantry" in listed
    for name in MACHINES:
        assert name in listed
