"""Writing a set is stopped at every call to the system, by a failure and by a kill.

Python tells an audit hook of every call that opens, makes, moves, links or removes something before
it is made (PEP 578). The work runs in a process of its own, whose hook counts these calls and stops
it at one of them; the next run stops it one further on, until it comes to its end.
"""

from __future__ import annotations

import errno
import json
import os
import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from quiltpath.errors import InputError
from quiltpath.jobs.folder import OutputFile, write_set
from quiltpath.jobs.set_placing import HIDDEN
from tests.jobs.test_folder import file_set

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs processes that fork")

CALLS = {
    "open", "os.chmod", "os.link", "os.listdir", "os.mkdir", "os.remove", "os.rename", "os.rmdir",
    "os.scandir", "os.symlink", "os.truncate", "os.utime", "fcntl.flock", "tempfile.mkdtemp",
}  # fmt: skip
CAME_TO_ITS_END, WENT_ON, REFUSED, BROKE = 0, 1, 2, 99
USERS = {"mine.txt": b"needle 90/14", "hoopings/mine.txt": b"blue hoop"}
SETS = {
    "the next set": (
        ("guide.svg", "hoopings/01.dst", "old/stale.pes"),
        ("guide.svg", "hoopings/02.dst", "deep/er/new.pes"),
    ),
    "files in place of folders": (
        ("guide.svg", "part", "whole/one.dst"),
        ("guide.svg", "part/one.dst", "whole"),
    ),
    "the first set": ((), ("guide.svg", "hoopings/01.dst")),
}


def stopped(work: Callable[[], None], at: int, kill: bool) -> int:
    """Do the work in another process and stop it at that call; how it ended."""
    child = os.fork()
    if child:
        status = os.waitpid(child, 0)[1]
        assert not os.WIFSIGNALED(status) or os.WTERMSIG(status) == signal.SIGKILL
        return -1 if os.WIFSIGNALED(status) else os.WEXITSTATUS(status)
    ended = BROKE
    try:
        ended = _in_the_child(work, at, kill)
    finally:
        os._exit(ended)


def _in_the_child(work: Callable[[], None], at: int, kill: bool) -> int:
    met = 0

    def hook(event: str, _: object) -> None:
        nonlocal met
        if event not in CALLS:
            return
        met += 1
        if met == at and kill:
            os.kill(os.getpid(), signal.SIGKILL)
        if met == at:
            raise OSError(errno.ENOSPC, "No space left on device")

    sys.addaudithook(hook)
    try:
        work()
    except InputError:
        return REFUSED
    return WENT_ON if met >= at else CAME_TO_ITS_END


def contents(folder: Path) -> dict[str, bytes]:
    """Every file that a person sees there."""
    return {
        name: path.read_bytes()
        for path in folder.rglob("*")
        if not (name := path.relative_to(folder).as_posix()).startswith(HIDDEN) and path.is_file()
    }


def as_files(files: list[OutputFile]) -> dict[str, bytes]:
    return {file.name: file.content for file in files}


def every_step(
    tmp_path: Path, names: str, kill: bool
) -> Iterator[tuple[int, Path, dict[str, bytes], list[OutputFile]]]:
    """The folder after each stop, with how it ended, the old set and the new one."""
    before, after = SETS[names]
    new = file_set(*after, text="new")
    at, ended = 0, WENT_ON
    while ended != CAME_TO_ITS_END:
        at += 1
        out = tmp_path / str(at)
        old = file_set(*before, text="old") if before else []
        if old:
            write_set(old, out)
            for name, content in USERS.items():
                (out / name).parent.mkdir(exist_ok=True)
                (out / name).write_bytes(content)
        ended = stopped(lambda out=out: write_set(new, out), at, kill)  # type: ignore[misc]
        assert ended != BROKE
        yield ended, out, as_files(old), new
    assert at > 20, "the work makes more calls than that"


@pytest.mark.parametrize("names", SETS)
def test_a_failure_at_any_call_leaves_the_old_set_or_the_new_one(
    tmp_path: Path, names: str
) -> None:
    refused = 0
    for ended, out, old, new in every_step(tmp_path, names, kill=False):
        users = USERS if old else {}
        whole = old if ended == REFUSED else as_files(new)
        assert contents(out) == {**whole, **users}
        refused += ended == REFUSED
        if ended == REFUSED and not old:
            assert not out.exists() or [p.name[: len(HIDDEN)] for p in out.iterdir()] == [HIDDEN]
    assert refused > 10


@pytest.mark.parametrize("names", SETS)
def test_a_kill_at_any_call_leaves_whole_files_and_the_next_run_ends_it(
    tmp_path: Path, names: str
) -> None:
    halfway = 0
    for _, out, old, new in every_step(tmp_path, names, kill=True):
        meant, found, users = as_files(new), contents(out), USERS if old else {}
        assert users.items() <= found.items(), "what is the user's is as it was"
        known = {name: {old.get(name), meant.get(name)} for name in {*old, *meant}}
        assert all(content in known[name] for name, content in found.items() if name not in users)
        assert {name for name in old if name in meant} <= set(found), "none is missing on the way"
        if found.get("report.json") == meant["report.json"]:
            assert found == {**meant, **users}, "the report comes last"
        halfway += found not in ({**old, **users}, {**meant, **users})
        write_set(new, out)
        assert contents(out) == {**meant, **users}
        assert not list(out.glob(f"{HIDDEN}*")), "what the killed run left is gone"
    assert halfway > 2, "some kills fall between two files"


def test_after_a_kill_another_set_may_be_the_next(tmp_path: Path) -> None:
    """What had got into place is known as ours, and goes with the set that it was of."""
    for _, out, old, _ in every_step(tmp_path, "the next set", kill=True):
        other = file_set("guide.svg", "other.dst", text="other")
        write_set(other, out)
        assert contents(out) == {**as_files(other), **USERS}
        assert json.loads((out / "report.json").read_text())["files"][1]["path"] == "other.dst"
        assert old


@pytest.mark.parametrize("writers", [2])
def test_what_is_saved_there_while_sets_are_written_is_never_lost(
    tmp_path: Path, writers: int
) -> None:
    """Two processes write set after set; somebody saves files meanwhile, new and over their own."""
    out = tmp_path / "out"
    children = []
    for number in range(writers):
        if not (child := os.fork()):
            for turn in range(40):
                write_set(file_set("guide.svg", f"{number}-{turn}.dst", text=str(turn)), out)
            os._exit(0)
        children.append(child)
    saved: dict[str, bytes] = {}
    running = set(children)
    while running:
        if out.is_dir() and len(saved) < 4000:
            name, content = f"note {len(saved) % 1500}.txt", str(len(saved)).encode()
            fresh = out / f"{name}~"
            fresh.write_bytes(content)
            fresh.replace(out / name)
            saved[name] = content
        for child in list(running):
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                assert status == 0
                running.discard(child)
    found = contents(out)
    assert len(saved) > 10 and saved.items() <= found.items()
    ours = set(found) - set(saved)
    listed = json.loads(found["report.json"])["files"]
    assert ours == {entry["path"] for entry in listed} | {"report.json"}
    assert not list(out.glob(f"{HIDDEN}*"))
