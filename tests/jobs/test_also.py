"""[also]: the further files of the set are those of the commands, and nothing else changes."""

from __future__ import annotations

import functools
import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.jobs.all_jobs import JOBS, also_work, by_name
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.make import outputs
from quiltpath.jobs.resume import load_and_list
from quiltpath.progress import no_progress
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result

PLAIN = """
title = "Long table"
units = "mm"
[runner]
length = 900
width = 300
[[quilting]]
kind = "straight"
angle = 60
spacing = "about 40 mm"
[machine]
formats = ["dst"]
{machine}
{also}
"""


def made(also: str = "", machine: str = "", spacing: str = "40") -> dict[str, OutputFile]:
    text = PLAIN.format(also=also, machine=machine).replace("about 40", f"about {spacing}")
    return {file.name: file for file in outputs(compute(parse(text)))}


@functools.cache
def plain_result() -> Result:
    return compute(parse(PLAIN.format(also="", machine="")))


def refused(also: str, spacing: str = "40") -> None:
    """Only what [also] asks for is made, all of one result."""
    text = PLAIN.format(also=f"[also]\n{also}", machine="").replace("about 40", f"about {spacing}")
    also_work(replace(plain_result(), project=parse(text)), no_progress)


def report(files: dict[str, OutputFile]) -> dict[str, object]:
    content: dict[str, object] = json.loads(files["report.json"].content)
    return content


def notes(files: dict[str, OutputFile]) -> str:
    return " ".join(files["sewing-notes.txt"].content.decode().split())


def test_what_is_not_asked_for_leaves_the_set_as_it_was() -> None:
    plain = made()
    assert "also" not in report(plain)
    more = made('[also]\nlook = "4 m"')
    assert set(more) - set(plain) == {"look.png", "look.svg"}
    same = set(plain) - {"report.json", "sewing-notes.txt"}
    assert all(plain[name].content == more[name].content for name in same)


@pytest.mark.parametrize(
    ("command", "also", "names"),
    [
        (["look", "--distance", "3 m"], 'look = "3 m"', {"look.png": 0, "look.svg": 0}),
        (
            ["nest", "FILE", "--width", "1500 mm", "--apart", "60 mm"],
            "nest = { width = 1500, apart = 60 }",
            {"nest.svg": 0, "nest.pdf": 0},
        ),
        (["resume", "--from", "3"], "resume = [3]", {"runner-from-3.dst": 1, "RESUME.txt": 1}),
    ],
)
def test_the_files_are_those_of_the_command(
    command: list[str], also: str, names: dict[str, int], tmp_path: Path
) -> None:
    file = tmp_path / "runner.toml"
    file.write_text(PLAIN.format(also="", machine=""))
    arguments = [str(file) if part == "FILE" else part for part in command[1:]]
    done = CliRunner().invoke(
        main, [command[0], str(file), *arguments, "--out", str(tmp_path / "out")]
    )
    assert done.exit_code == 0, done.output
    files = made(f"[also]\n{also}")
    for name, in_folder in names.items():
        where = f"resume/c3/{name}" if in_folder else name
        assert files[where].content == (tmp_path / "out" / name).read_bytes()
    said = json.loads((tmp_path / "out" / "report.json").read_text())
    assert list(said) == ["title", command[0], "files"]
    whole = report(files)["also"][command[0]]  # type: ignore[index]
    if command[0] == "resume":  # under [also] each checkpoint has a folder of its own
        assert whole["ready"][0].pop("folder") == "resume/c3"
        assert said["resume"]["ready"][0].pop("folder") == "."
    assert said[command[0]] == whole


def test_every_key_has_a_job_with_its_words() -> None:
    with pytest.raises(
        ValueError, match=r"^also\.resume has no job; add its row to JOBS in [\w/.]+$"
    ):
        by_name(*(job for job in JOBS.values() if job.name != "resume"))
    with pytest.raises(ValueError, match=r"^the job nest says nothing in the sewing notes"):
        by_name(*JOBS.values(), replace(JOBS["nest"], notes=None))


def test_sizes_begin_with_the_design_itself_and_keep_the_gap() -> None:
    files = made('[also]\nsizes = ["table 1400 x 900 mm", "mat 450 x 300 mm"]')
    each = report(files)["also"]["sizes"]["each"]  # type: ignore[index]
    assert [one["size"] for one in each] == ["this one", "table 1400 x 900 mm", "mat 450 x 300 mm"]
    # 1400 mm and twice the usual drop of 8 in.
    assert each[1]["length_mm"] == pytest.approx(1400 + 16 * 25.4)
    assert all(one["line_gap_mm"] == pytest.approx(40, rel=0.05) for one in each)
    assert {"sizes.pdf", "sizes.png", "sizes.html", "sizes.json"} < set(files)
    assert "OTHER SIZES" in notes(files) and "table 1400 x 900 mm" in notes(files)


def test_what_is_at_hand_is_answered_as_the_command_does(tmp_path: Path) -> None:
    file = tmp_path / "runner.toml"
    file.write_text(PLAIN.format(also="", machine=""))
    options = ["--thread", "30 m", "--time", "1 h", "--binding", "1/2 yd"]
    said = CliRunner().invoke(main, ["ask", str(file), *options]).output
    files = made('[also]\nask = { thread = "30 m", time = "1 h", binding = "1/2 yd" }')
    answered = files["at-hand.txt"].content.decode()
    rows = said.splitlines()[1:]
    assert len(rows) >= 5 and all(row in answered for row in rows)
    assert "30 m, needle and bobbin" in answered and "60 min" in answered


def test_each_part_of_a_machine_has_its_own_checkpoints(tmp_path: Path) -> None:
    """On the guide, in the report, in the notes and for ``resume`` they are the same."""
    profile = 'profile = "hoop-200x300"'
    files = made("[also]\nresume = [2]", profile, spacing="12")
    listed = report(files)["sewing"]["checkpoints"]  # type: ignore[index]
    parts = list(dict.fromkeys(place["part"] for place in listed))
    assert len(parts) > 1
    guide = files["guide.svg"].content.decode()
    file = tmp_path / "runner.toml"
    file.write_text(PLAIN.format(also="", machine=profile).replace("about 40", "about 12"))
    for number, part in enumerate(parts, start=1):
        own = [place for place in listed if place["part"] == part]
        assert load_and_list(file, part).count(" after ") == len(own)
        for place in own if len(own) > 1 else []:
            assert f">{number}-c{place['number']}<" in guide
        assert (f"resume/{part}-c2/RESUME.txt" in files) == (len(own) > 1)
    assert "AFTER A BREAK" in notes(files) and f"resume --part {parts[-1]}" in notes(files)


@pytest.mark.parametrize(
    ("also", "said"),
    [
        ('look = "40 mm"', "also.look.*across a room|also.*across a room"),
        ('sizes = ["wide"]', "also.sizes.*is not length x width"),
        (
            'sizes = ["900 m x 300 mm"]',
            r"also\.sizes: '900 m x 300 mm' is more than 100 m; check the numbers and their unit$",
        ),
        (
            'sizes = ["mat 90 m x 90 m"]',
            r"also\.sizes: runner: .* by .* is larger than anybody can quilt; check the number",
        ),
        ('nest = { width = "10 in" }', "also.nest.*wider backing"),
        ("nest = { copies = 3 }", "also.nest.width.*is missing"),
        ('ask = { time = "soon" }', "also.ask.time.*is not a time"),
        ('ask = { thread = "some" }', "also.ask.thread.*is not a length"),
        ('ask = { thread = "200 km" }', "also.ask.thread"),
        ("ask = {}", "also.ask.*nothing is at hand"),
        ("resume = [999]", "also.resume.*there is no checkpoint 999"),
        ("resume = [0]", "also.resume"),
        ("look_at = 3", "also.*there is no such key"),
    ],
)
def test_a_slip_is_told_in_one_line_with_its_key(also: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        refused(also)


def test_a_slip_that_is_found_late_leaves_no_set() -> None:
    with pytest.raises(InputError, match=r"also\.resume.*there is no checkpoint 999"):
        made("[also]\nresume = [999]")


def test_the_spacing_that_would_do_for_a_huge_mat_is_that_of_five_million_stitches() -> None:
    """In stitches of 3 mm, with 1 % to spare; the flat top is larger by up to 5 % (common practice:
    quilting draws a piece up by 1 to 3 %, and more when it is dense)."""
    with pytest.raises(InputError) as told:
        refused('sizes = ["mat 3.2 m x 3.2 m"]', spacing="0.5")
    spacing_mm = float(str(told.value).partition("; give ")[2].split(" mm")[0])
    finished_mm = 1.01 * 3_200**2 / 3 / 5_000_000
    assert finished_mm <= spacing_mm <= finished_mm / 0.95**2 + 0.1


def test_a_checkpoint_that_no_part_has_is_told() -> None:
    with pytest.raises(InputError, match=r"also\.resume.*no part has a checkpoint 99"):
        made("[also]\nresume = [99]", machine='profile = "hoop-200x300"')


def test_asking_needs_a_fill_whose_spacing_can_change() -> None:
    text = PLAIN.format(also='[also]\nask = { time = "1 h" }', machine="")
    text = text.replace(
        'kind = "straight"\nangle = 60\nspacing = "about 40 mm"', 'kind = "radiating"'
    )
    with pytest.raises(InputError, match=r"also\.ask.*no fill layer"):
        outputs(compute(parse(text)))


def test_a_folder_that_make_filled_is_not_taken_for_a_sheet(tmp_path: Path) -> None:
    """The set of ``make`` holds look.png too, but ``look`` must not replace the whole set."""
    file, out = tmp_path / "runner.toml", tmp_path / "out"
    file.write_text(PLAIN.format(also='[also]\nlook = "4 m"', machine=""))
    assert CliRunner().invoke(main, ["make", str(file), "--out", str(out)]).exit_code == 0
    refused = CliRunner().invoke(main, ["look", str(file), "--out", str(out)])
    assert refused.exit_code == 2 and "holds another set" in refused.output
    assert (out / "guide.svg").exists()
