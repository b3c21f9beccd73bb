"""The output folder holds the old set or the new set, and the user's own files stay."""

from __future__ import annotations

import errno
import json
import os
import stat
from pathlib import Path

import pytest

from quiltpath.errors import InputError
from quiltpath.jobs import set_placing
from quiltpath.jobs.folder import OutputFile, write_set
from quiltpath.jobs.set_placing import HIDDEN


def file_set(*names: str, text: str = "one") -> list[OutputFile]:
    files = [OutputFile(name, text.encode(), "test") for name in names]
    entries = [file.entry() for file in files]
    listing = json.dumps({"files": entries}).encode()
    return [*files, OutputFile("report.json", listing, "report")]


def names(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_a_new_folder_holds_the_set(tmp_path: Path) -> None:
    write_set(file_set("guide.svg", "hoopings/01.dst"), tmp_path / "deep" / "out")
    assert names(tmp_path / "deep" / "out") == {"guide.svg", "hoopings/01.dst", "report.json"}


def test_a_second_set_replaces_the_first_and_keeps_what_is_not_ours(tmp_path: Path) -> None:
    out = tmp_path / "out"
    write_set(file_set("guide.svg", "old.dst"), out)
    (out / "notes.txt").write_text("needle 90/14")
    (out / "photos").mkdir()
    (out / "photos" / "table.jpg").write_bytes(b"picture")
    write_set(file_set("guide.svg", "new.pes", text="two"), out)
    assert names(out) == {"guide.svg", "new.pes", "report.json", "notes.txt", "photos/table.jpg"}
    assert (out / "guide.svg").read_text() == "two"
    assert (out / "notes.txt").read_text() == "needle 90/14"


def test_a_users_file_of_the_same_name_gives_way_only_to_our_own_output(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "preview.png").write_text("mine, and not in any report")
    write_set(file_set("guide.svg"), out)
    assert (out / "preview.png").read_text() == "mine, and not in any report"


def test_a_failure_while_writing_leaves_the_old_set(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "out"
    write_set(file_set("guide.svg", text="old"), out)
    before = {path.name: path.read_bytes() for path in out.iterdir()}

    def disk_full(path: Path, content: bytes) -> int:
        if path.name == "runner.dst":
            raise OSError(28, "No space left on device")
        with path.open("wb") as file:
            return file.write(content)

    monkeypatch.setattr(Path, "write_bytes", disk_full)
    with pytest.raises(InputError, match="no space left"):
        write_set(file_set("guide.svg", "runner.dst", text="new"), out)
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_read_only_place_is_told_in_one_line(tmp_path: Path) -> None:
    tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
    with pytest.raises(InputError, match="cannot be written"):
        write_set(file_set("guide.svg"), tmp_path / "out")


def test_a_file_where_the_folder_should_be_is_told_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a letter")
    with pytest.raises(InputError, match="is a file, not a folder"):
        write_set(file_set("guide.svg"), tmp_path / "out")
    assert (tmp_path / "out").read_text() == "a letter"


def test_what_a_killed_run_left_is_swept_by_the_next(tmp_path: Path) -> None:
    out = tmp_path / "out"
    left = out / f"{HIDDEN}abc123"
    (left / "new").mkdir(parents=True)
    (left / "new" / "guide.svg").write_text("half")
    write_set(file_set("guide.svg"), out)
    assert names(tmp_path) == {"out/guide.svg", "out/report.json"} and not left.exists()


def test_a_shell_that_stands_in_the_folder_stays_in_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """``--out .``: the folder is the same afterwards, and the project file lies where it lay."""
    (tmp_path / "runner.toml").write_text("mine")
    monkeypatch.chdir(tmp_path)
    before = tmp_path.stat().st_ino, tmp_path.stat().st_mode
    for text in ("one", "two"):
        write_set(file_set("guide.svg", text=text), Path())
        assert Path("guide.svg").read_text() == text
    assert (Path.cwd().stat().st_ino, Path.cwd().stat().st_mode) == before
    assert names(Path()) == {"runner.toml", "guide.svg", "report.json"}


def test_what_is_saved_where_a_new_file_is_to_go_is_refused_and_all_is_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Saved in the moment between looking and writing."""
    out = tmp_path / "out"
    write_set(file_set("a.svg", "guide.svg", text="old"), out)

    def saved_meanwhile(name: str, target: Path, *_: object) -> None:
        if name == "notes.txt":
            (target / name).write_text("mine")

    monkeypatch.setattr(set_placing, "_check_free", saved_meanwhile)
    with pytest.raises(InputError, match=r"notes\.txt: is there already"):
        write_set(file_set("a.svg", "guide.svg", "notes.txt", text="new"), out)
    assert names(out) == {"a.svg", "guide.svg", "report.json", "notes.txt"}
    assert (out / "notes.txt").read_text() == "mine" and (out / "a.svg").read_text() == "old"


def test_a_file_and_a_folder_of_ours_give_way_to_each_other(tmp_path: Path) -> None:
    out = tmp_path / "out"
    for name in ("part", "part/one.dst", "part/one.dst/deep.dst", "part"):
        write_set(file_set(name), out)
        assert names(out) == {name, "report.json"}


def test_where_files_have_no_second_names_they_are_moved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(*_: object, **__: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    monkeypatch.setattr(os, "link", no_links)
    out = tmp_path / "out"
    for text in ("old", "new"):
        write_set(file_set("guide.svg", f"{text}.dst", text=text), out)
    assert names(tmp_path) == {"out/guide.svg", "out/new.dst", "out/report.json"}
    assert (out / "guide.svg").read_text() == "new"
