"""The output folder in bad company: links that lead out, full disks, no leave to write."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from quiltpath.errors import InputError
from quiltpath.jobs.folder import write_set
from quiltpath.jobs.set_placing import HIDDEN
from tests.jobs.test_folder import file_set, names

POSIX = pytest.mark.skipif(os.name != "posix", reason="links and leave of POSIX")


@pytest.fixture
def outside(tmp_path: Path) -> Path:
    """Somebody else's folder, which must stay as it is."""
    folder = tmp_path / "outside"
    folder.mkdir()
    (folder / "letter.txt").write_text("dear all")
    (folder / "guide.svg").write_text("not yours")
    return folder


def untouched(outside: Path) -> bool:
    return {path.name: path.read_text() for path in outside.iterdir()} == {
        "letter.txt": "dear all",
        "guide.svg": "not yours",
    }


@POSIX
def test_a_link_in_place_of_our_file_is_not_followed(tmp_path: Path, outside: Path) -> None:
    out = tmp_path / "out"
    write_set(file_set("guide.svg"), out)
    (out / "guide.svg").unlink()
    (out / "guide.svg").symlink_to(outside / "guide.svg")
    write_set(file_set("guide.svg", text="two"), out)
    assert untouched(outside)
    assert not (out / "guide.svg").is_symlink()
    assert (out / "guide.svg").read_text() == "two"


@POSIX
def test_a_link_in_place_of_our_folder_is_not_written_through(
    tmp_path: Path, outside: Path
) -> None:
    out = tmp_path / "out"
    write_set(file_set("hoopings/guide.svg"), out)
    shutil.rmtree(out / "hoopings")
    (out / "hoopings").symlink_to(outside, target_is_directory=True)
    with pytest.raises(InputError, match="hoopings: is there already"):
        write_set(file_set("hoopings/guide.svg", text="two"), out)
    assert untouched(outside)
    assert (out / "hoopings").is_symlink()


@POSIX
def test_links_of_the_user_stay_links_wherever_they_lead(tmp_path: Path, outside: Path) -> None:
    out = tmp_path / "out"
    write_set(file_set("guide.svg"), out)
    (out / "photos").symlink_to(outside, target_is_directory=True)
    (out / "nowhere").symlink_to(tmp_path / "not there")
    (out / "itself").symlink_to(out / "itself")
    (out / "up").symlink_to("..", target_is_directory=True)
    for text in ("two", "three"):
        write_set(file_set("guide.svg", text=text), out)
    assert untouched(outside)
    assert (out / "photos").readlink() == outside
    assert all((out / name).is_symlink() for name in ("nowhere", "itself", "up"))
    assert {path.name for path in tmp_path.iterdir()} == {"out", "outside"}


@POSIX
def test_what_looks_like_a_leftover_but_is_none_is_left_alone(
    tmp_path: Path, outside: Path
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / f"{HIDDEN}link").symlink_to(outside, target_is_directory=True)
    (out / f"{HIDDEN}note").write_text("mine")
    os.mkfifo(out / f"{HIDDEN}pipe")
    (out / f"{HIDDEN}folder").mkdir()
    (out / f"{HIDDEN}folder" / "letter.txt").write_text("dear all")
    write_set(file_set("guide.svg"), out)
    assert untouched(outside)
    assert (out / f"{HIDDEN}note").read_text() == "mine"
    assert (out / f"{HIDDEN}folder" / "letter.txt").read_text() == "dear all"
    assert (out / f"{HIDDEN}pipe").is_fifo() and (out / f"{HIDDEN}link").is_symlink()


@POSIX
@pytest.mark.parametrize(
    "name",
    ["../letter.txt", "/tmp/letter.txt", "photos/letter.txt", "photos/../letter.txt", ".", ""],
)
def test_a_report_that_lists_what_is_not_in_the_folder_removes_nothing(
    tmp_path: Path, outside: Path, name: str
) -> None:
    out = tmp_path / "out"
    write_set(file_set("guide.svg"), out)
    (out / "photos").symlink_to(outside, target_is_directory=True)
    (tmp_path / "letter.txt").write_text("dear all")
    said = json.loads((out / "report.json").read_text())
    said["files"].append({"path": name, "sha256": "0"})
    (out / "report.json").write_text(json.dumps(said))
    write_set(file_set("guide.svg", text="two"), out)
    assert untouched(outside) and (tmp_path / "letter.txt").read_text() == "dear all"
    assert (out / "photos").is_symlink() and (out / "guide.svg").read_text() == "two"


@POSIX
def test_the_users_folders_stay_with_their_leave_even_when_empty(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_set(file_set("guide.svg", "hoopings/01.dst"), out)
    (out / "private").mkdir(mode=0o700)
    (out / "locked").mkdir()
    (out / "locked" / "note.txt").write_text("kept")
    (out / "locked").chmod(0o555)
    write_set(file_set("guide.svg"), out)
    assert (out / "private").stat().st_mode & 0o777 == 0o700
    assert (out / "locked" / "note.txt").read_text() == "kept"
    assert not (out / "hoopings").exists(), "a folder of ours goes with its files"
    (out / "locked").chmod(0o755)


def test_a_file_of_the_users_in_the_way_is_refused_not_replaced(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "guide.svg").write_text("drawn by hand")
    (out / "hoopings").write_text("a list of hoops")
    for new in ("guide.svg", "hoopings/01.dst"):
        with pytest.raises(InputError, match="is there already"):
            write_set(file_set(new), out)
    assert names(out) == {"guide.svg", "hoopings"}
    assert (out / "guide.svg").read_text() == "drawn by hand"
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_the_report_of_another_program_makes_nothing_ours(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "thesis.txt").write_text("years of work")
    (out / "report.json").write_text(json.dumps({"files": [{"path": "thesis.txt"}]}))
    with pytest.raises(InputError, match=r"report\.json: is there already"):
        write_set(file_set("guide.svg"), out)
    assert (out / "thesis.txt").read_text() == "years of work"


@pytest.mark.parametrize(
    "report",
    [
        "",
        "[" * 100_000,
        "null",
        "7",
        '{"files": 3}',
        '{"files": [{"path": "../letter.txt", "sha256": "0"}]}',
        "\x00",
    ],
    ids=["empty", "deep", "null", "number", "no list", "paths that lead out", "zero byte"],
)
def test_a_spoilt_report_never_reaches_beyond_the_folder(tmp_path: Path, report: str) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (tmp_path / "letter.txt").write_text("dear all")
    (out / "report.json").write_text(report)
    try:
        write_set(file_set("guide.svg"), out)
    except InputError as error:
        assert "\n" not in str(error)
    assert (tmp_path / "letter.txt").read_text() == "dear all"


PROJECT = '[runner]\nlength = "500 mm"\nwidth = "200 mm"\n[[quilting]]\nkind = "straight"\n'
LIMITED = """
import resource, sys
from quiltpath.cli import main
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv.pop(1)),) * 2)
main()
"""


@POSIX
def test_a_full_disk_leaves_the_old_set_and_one_line(tmp_path: Path) -> None:
    """A limit on file sizes fails a write as a full disk does."""
    (tmp_path / "runner.toml").write_text(PROJECT)
    out = tmp_path / "out"
    command = ["make", str(tmp_path / "runner.toml"), "--out", str(out)]
    root = str(Path(__file__).parent.parent.parent)
    env = {**os.environ, "PYTHONPATH": root}
    subprocess.run(
        [sys.executable, "-m", "quiltpath", *command], check=True, capture_output=True, env=env
    )
    before = {path.name: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    (out / "mine.txt").write_text("keep me")
    for most_bytes in (0, 1000, 20_000):
        limited = subprocess.run(
            [sys.executable, "-c", LIMITED, str(most_bytes), *command],
            capture_output=True,
            text=True,
            env=env,
        )
        assert limited.returncode == 2, limited.stderr
        assert "cannot be written" in limited.stderr and limited.stderr.count("\n") == 1
        after = {path.name: path.read_bytes() for path in out.rglob("*") if path.is_file()}
        assert after == {**before, "mine.txt": b"keep me"}
        assert {path.name for path in tmp_path.iterdir()} == {"runner.toml", "out"}


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root can mount")
def test_a_disk_that_is_really_full_leaves_the_old_set(tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(disk)], capture_output=True
    )
    if mounted.returncode != 0:
        pytest.skip("mounting is not allowed here")
    try:
        out = disk / "out"
        write_set(file_set("guide.svg", text="old"), out)
        (out / "mine.txt").write_text("keep me")
        with pytest.raises(InputError, match="no space left"):
            write_set(file_set("guide.svg", "runner.dst", text="x" * 200_000), out)
        assert (out / "guide.svg").read_text() == "old"
        assert (out / "mine.txt").read_text() == "keep me"
        assert [path.name for path in disk.iterdir()] == ["out"]
    finally:
        subprocess.run(["umount", str(disk)], check=True)


@contextmanager
def somebody_without_leave() -> Iterator[Path]:
    """A folder that may be read but not written, as seen by somebody who is not root."""
    folder = Path(tempfile.mkdtemp())
    before = os.geteuid()
    try:
        (folder / "out").mkdir()
        (folder / "out" / "mine.txt").write_text("keep me")
        for path in (folder / "out", folder):
            path.chmod(0o555)
        if before == 0:
            os.seteuid(65534)
        yield folder
    finally:
        os.seteuid(before)
        for path in (folder, folder / "out"):
            path.chmod(0o755)
        shutil.rmtree(folder)


@POSIX
def test_a_place_that_may_not_be_written_is_told_in_one_line() -> None:
    with somebody_without_leave() as folder:
        for out in (folder / "out", folder / "new", folder / "deep" / "new"):
            with pytest.raises(InputError, match="cannot be written: permission denied") as caught:
                write_set(file_set("guide.svg"), out)
            assert "\n" not in str(caught.value)
        assert (folder / "out" / "mine.txt").read_text() == "keep me"
        assert sorted(path.name for path in folder.iterdir()) == ["out"]
