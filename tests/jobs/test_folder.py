"""The output folder holds the old set or the new set, and the user's own files stay."""

from __future__ import annotations

import json
import os
import stat
from pathlib import Path

import pytest

from quiltpath.errors import InputError
from quiltpath.jobs import folder as folder_module
from quiltpath.jobs.folder import OutputFile, write_set


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
    left = tmp_path / ".out.quiltpath-abc123"
    left.mkdir()
    (left / "guide.svg").write_text("half")
    write_set(file_set("guide.svg"), tmp_path / "out")
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_where_folders_cannot_change_places_two_renames_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(folder_module, "_exchanged", lambda fresh, target: False)
    out = tmp_path / "out"
    write_set(file_set("guide.svg", text="old"), out)
    write_set(file_set("guide.svg", text="new"), out)
    assert (out / "guide.svg").read_text() == "new"
    assert [path.name for path in tmp_path.iterdir()] == ["out"]
