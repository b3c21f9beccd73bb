"""Same input, same bytes: on another Python, for another person, on another day; and nothing of
the machine, the person or the day gets into what is written.

Other Pythons that have the package's libraries are named by their interpreters, and then make the
same bytes:

    QUILTPATH_OTHER_PYTHONS=/path/to/python3.12:/path/to/python3.13 pytest tests/test_same_bytes.py
"""

from __future__ import annotations

import getpass
import os
import platform
import re
import socket
import subprocess
import sys
import time
import zlib
from pathlib import Path

import pytest

from tests.test_samples import NAMES, SAMPLES, outputs_of
from tests.test_what_samples_show import made as as_made

ROOT = SAMPLES.parent
OTHERS = [path for path in os.environ.get("QUILTPATH_OTHER_PYTHONS", "").split(":") if path]
MAKE = """
import hashlib, sys
from pathlib import Path
from quiltpath.jobs.make import outputs
from quiltpath.project import load
from quiltpath.result.computing import compute
for file in outputs(compute(load(Path(sys.argv[1])))):
    print(hashlib.sha256(file.content).hexdigest(), file.name)
"""


def unpacked(content: bytes) -> bytes:
    """The content with every deflated stream in it opened, as PDF, PNG and pages hold them."""
    parts = [content]
    for start in re.finditer(rb"stream\r?\n|IDAT", content):
        try:
            parts.append(zlib.decompressobj().decompress(content[start.end() :]))
        except zlib.error:
            continue
    return b"\n".join(parts)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_of_the_machine_the_person_or_the_day_is_written(name: str) -> None:
    today = time.localtime()
    traces = [
        str(ROOT), str(Path.home()), str(Path(sys.prefix)), str(Path.cwd()), "/tmp/", "/home/",
        f"{socket.gethostname()}.", platform.node(), f"{getpass.getuser()}@",
        time.strftime("%Y-%m-%d", today), time.strftime("%Y%m%d", today),
        time.strftime("%d %B %Y", today), time.strftime("%B %d, %Y", today),
        f"Python {platform.python_version()}", "site-packages",
    ]  # fmt: skip
    for file in outputs_of(name).values():
        content = unpacked(file.content)
        # A host called "localhost" is no trace, nor is a short name that is a word.
        found = [t for t in traces if len(t) > 5 and t != "localhost" and t.encode() in content]
        assert found == [], file.name


@pytest.mark.parametrize("name", NAMES)
def test_dates_in_files_are_the_fixed_one(name: str) -> None:
    """PDF asks for a date (ISO 32000-1, from memory: D:YYYYMMDD): always the same."""
    for file in outputs_of(name).values():
        dates = set(re.findall(rb"D:(\d{8})", file.content))
        assert dates <= {b"20000101"}, file.name


def test_another_person_elsewhere_makes_the_same_bytes(tmp_path: Path) -> None:
    """Another process, folder, home, name, language, time zone, terminal and hash seed; none of
    it gets in."""
    copy = tmp_path / "a folder with spaces, ünd möre"
    copy.mkdir()
    for path in (SAMPLES / "harvest-supper").iterdir():
        (copy / path.name).write_bytes(path.read_bytes())
    elsewhere = {
        "PYTHONHASHSEED": "271828", "TZ": "Pacific/Chatham", "LC_ALL": "tr_TR.UTF-8",
        "LANG": "tr_TR.UTF-8", "HOME": str(tmp_path), "USER": "somebody", "LOGNAME": "somebody",
        "COLUMNS": "40", "TERM": "dumb", "PYTHONUTF8": "0", "SOURCE_DATE_EPOCH": "1",
        "OMP_NUM_THREADS": "1",
    }  # fmt: skip
    out = tmp_path / "made élsewhere"
    words = [
        sys.executable,
        "-m",
        "quiltpath",
        "make",
        str(copy / "runner.toml"),
        "--out",
        str(out),
    ]
    environment = {**os.environ, **elsewhere, "PYTHONPATH": str(ROOT)}
    subprocess.run(words, capture_output=True, check=True, env=environment, cwd=tmp_path)
    there = {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}
    here = {file.name: file.content for file in as_made("harvest-supper").values()}
    assert there.keys() == here.keys()
    assert [name for name in here if there[name] != here[name]] == []
    assert [name for name in here if str(tmp_path).encode() in unpacked(there[name])] == []


@pytest.mark.skipif(not OTHERS, reason="no other Python is named")
@pytest.mark.parametrize("python", OTHERS)
@pytest.mark.parametrize("name", NAMES)
def test_another_python_makes_the_same_bytes(python: str, name: str) -> None:
    project = SAMPLES / name / "runner.toml"
    here = made(sys.executable, project, {**os.environ})
    assert made(python, project, {**os.environ}) == here


def made(python: str, project: Path, environment: dict[str, str]) -> list[str]:
    """Sums and names of all outputs of a project, as another process makes them."""
    done = subprocess.run(
        [python, "-c", MAKE, str(project)],
        capture_output=True,
        text=True,
        check=True,
        env={**environment, "PYTHONPATH": str(ROOT)},
    )
    lines = done.stdout.splitlines()
    assert len(lines) > 5
    return lines
