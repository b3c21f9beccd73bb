"""Killed at any moment: each file is whole, the old or the new; two at once: one whole set."""

from __future__ import annotations

import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest

from quiltpath.jobs.set_placing import HIDDEN, NEW

PROJECT = """
title = "{title}"
[runner]
length = "500 mm"
width = "200 mm"
[[quilting]]
kind = "straight"
spacing = "{spacing}"
"""
KILLS = 8


def sums(report: Path) -> dict[str, str]:
    """Names of the files that a report lists, with their sums."""
    files = json.loads(report.read_text(encoding="utf-8"))["files"]
    return {entry["path"]: entry["sha256"] for entry in files}


def every_file_is_the_old_or_the_new(out: Path) -> None:
    """By the report in place or by the new one, which a killed run leaves in a hidden folder."""
    allowed = [sums(out / "report.json")]
    for new in out.glob(f"{HIDDEN}*/{NEW}/report.json"):
        with suppress(ValueError):  # killed while it wrote its report: nothing was put in place yet
            allowed.append(sums(new))
    seen = {path for path in out.iterdir() if path.is_file()} - {out / "mine.txt"}
    assert out / "report.json" in seen
    for path in seen - {out / "report.json"}:
        summed = hashlib.sha256(path.read_bytes()).hexdigest()
        assert summed in {of.get(path.name) for of in allowed}, path.name


def whole_set(out: Path) -> dict[str, str]:
    """Names and sums of the set by its own report, each file checked against it."""
    report = json.loads((out / "report.json").read_text(encoding="utf-8"))
    for entry in report["files"]:
        content = (out / entry["path"]).read_bytes()
        assert hashlib.sha256(content).hexdigest() == entry["sha256"], entry["path"]
    ours = {entry["path"] for entry in report["files"]} | {"report.json"}
    present = {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()}
    assert present - {"mine.txt"} == ours
    return {"title": report["title"]}


def make(project: Path, out: Path) -> list[str]:
    return [sys.executable, "-m", "quiltpath", "make", str(project), "--out", str(out)]


@pytest.fixture
def projects(tmp_path: Path) -> list[Path]:
    paths = []
    for title, spacing in (("narrow", "15 mm"), ("wide", "40 mm")):
        paths.append(tmp_path / f"{title}.toml")
        paths[-1].write_text(PROJECT.format(title=title, spacing=spacing), encoding="utf-8")
    return paths


@pytest.mark.skipif(os.name != "posix", reason="signals")
def test_killed_at_any_moment_each_file_is_the_old_one_or_the_new(
    tmp_path: Path, projects: list[Path]
) -> None:
    out = tmp_path / "out"
    start = time.monotonic()
    subprocess.run(make(projects[0], out), check=True, capture_output=True)
    usual = time.monotonic() - start
    (out / "mine.txt").write_text("keep me")
    moments = random.Random(7)
    for number in range(KILLS):
        process = subprocess.Popen(
            make(projects[number % 2], out), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        # Most kills fall into the last third, where the folder is written.
        time.sleep(usual * moments.choice([moments.uniform(0, 1), moments.uniform(0.7, 1.1)]))
        process.send_signal(signal.SIGKILL)
        process.wait()
        every_file_is_the_old_or_the_new(out)
        assert (out / "mine.txt").read_text() == "keep me"
    subprocess.run(make(projects[1], out), check=True, capture_output=True)
    assert whole_set(out)["title"] == "wide"
    left = {path.name for path in tmp_path.iterdir()} - {"out", "narrow.toml", "wide.toml"}
    assert left == set()


@pytest.mark.skipif(os.name != "posix", reason="no folder lock elsewhere")
def test_two_at_once_leave_one_whole_set(tmp_path: Path, projects: list[Path]) -> None:
    out = tmp_path / "out"
    for _ in range(3):
        both = [
            subprocess.Popen(make(p, out), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
            for p in projects
        ]
        for process in both:
            _, said = process.communicate()
            assert process.returncode == 0, said.decode()
        assert whole_set(out)["title"] in ("narrow", "wide")
    assert {path.name for path in tmp_path.iterdir()} == {"out", "narrow.toml", "wide.toml"}
