"""The built wheel: what is in it, and that it works where nothing of the checkout is near."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder

ROOT = Path(__file__).parent.parent
KINDS = {".py", ".po", ".toml", ".html", ".css", ".js", ".svg", ".typed"}
"""What a person's machine needs at run time; tests, samples and pictures stay at home."""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    return Path(next(WheelBuilder(str(ROOT)).build(directory=str(folder))))


def test_it_holds_the_package_and_the_patterns_and_nothing_else(wheel: Path) -> None:
    held = zipfile.ZipFile(wheel).namelist()
    ours = {name for name in held if ".dist-info/" not in name}
    package = {str(file.relative_to(ROOT)) for file in (ROOT / "quiltpath").rglob("*.*")}
    patterns = {f"quiltpath/pattern_files/{file.name}" for file in (ROOT / "patterns").glob("*.*")}
    assert ours == {name for name in package if not name.endswith(".pyc")} | patterns
    assert {Path(name).suffix for name in ours} <= KINDS
    about = {name.rpartition("/")[2] for name in held if ".dist-info/" in name}
    assert about == {"METADATA", "WHEEL", "RECORD", "LICENSE", "entry_points.txt"}


def test_unpacked_by_itself_it_makes_a_set(wheel: Path, tmp_path: Path) -> None:
    """As an installer lays it down: a folder on the path, without the checkout."""
    zipfile.ZipFile(wheel).extractall(tmp_path / "site")
    for command in (["new", "runner.toml"], ["check", "runner.toml"], ["patterns"]):
        done = subprocess.run(
            [sys.executable, "-P", "-m", "quiltpath", *command],
            cwd=tmp_path,
            env={"PYTHONPATH": str(tmp_path / "site"), "PATH": ""},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode in (0, 1), done.stderr
    listed = len(done.stdout.strip().splitlines())
    assert listed == len(list((ROOT / "patterns").glob("*.toml")))
