"""Project files as an enemy or a broken program would write them: one line, within bounds."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.files import read_bounded
from quiltpath.project import load, parse

GOOD = '[runner]\nlength = "500 mm"\nwidth = "200 mm"\n'
LINES = '[[quilting]]\nkind = "straight"\nspacing = "40 mm"\n'
MOTIF = '[[motif]]\nname = "leaf"\nsize = "50 mm"\nblocks = "all"\nfile = {}\n'


def told(path: Path, *more: str) -> str:
    """What ``make`` says of the file: exit code 2, one line, nothing written."""
    out = path.parent / "out"
    answer = CliRunner().invoke(main, ["make", str(path), "--out", str(out), *more])
    assert answer.exit_code == 2, answer.output
    assert answer.exception is None or isinstance(answer.exception, SystemExit)
    line = answer.output.strip()
    assert "\n" not in line and len(line) < 2000
    assert all(character.isprintable() for character in line)
    assert not out.exists()
    return line


ENCODINGS = {
    "byte order mark": b"\xef\xbb\xbf" + (GOOD + LINES).encode(),
    "line ends of another system": (GOOD + LINES).replace("\n", "\r\n").encode(),
    "both": b"\xef\xbb\xbf" + (GOOD + LINES).replace("\n", "\r\n").encode(),
    "no line end at the end": (GOOD + LINES).rstrip().encode(),
    "title in other writing": ('title = "Ужин, 夕食, ½ yard"\n' + GOOD + LINES).encode(),
}


@pytest.mark.parametrize("name", ENCODINGS)
def test_a_file_from_another_system_is_read_as_it_was_meant(name: str, tmp_path: Path) -> None:
    (tmp_path / "runner.toml").write_bytes(ENCODINGS[name])
    assert load(tmp_path / "runner.toml").runner.length == 500.0


BROKEN: dict[str, tuple[bytes, str]] = {
    "UTF-16": ((GOOD + LINES).encode("utf-16"), "UTF-8"),
    "an old code page": (('title = "Tischläufer"\n' + GOOD).encode("latin-1"), "UTF-8"),
    "zero bytes": (b"\x00" * 1000, "line 1"),
    "carriage returns alone": ((GOOD + LINES).replace("\n", "\r").encode(), "line 1"),
    "nothing at all": (b"", "runner"),
    "more than a megabyte": (b"#" * 1_000_001, "megabyte"),
    "arrays in arrays": (b"a = " + b"[" * 100_000, "nested"),
    "tables in tables": (b"a = " + b"{a=" * 100_000, "nested"),
    "a key of thousands of parts": (b".".join([b"a"] * 50_000) + b" = 1", "a"),
    "a number of thousands of digits": (b"a = " + b"9" * 5000, "line 1"),
    "a length of thousands of digits": (GOOD.replace("500", "9" * 5000).encode(), "runner.length"),
    "a fraction of thousands of digits": (
        GOOD.replace("500 mm", f"1/{'7' * 5000} in").encode(),
        "runner.length",
    ),
    "an infinite length": (GOOD.replace('"500 mm"', "inf").encode(), "runner.length"),
    "a colour code for the terminal": (
        b'title = "\\u001b[31mred"\n' + GOOD.encode(),
        "title: holds a control character",
    ),
    "writing turned round": (b'title = "\\u202etxt.exe"\n' + GOOD.encode(), "title"),
    "a control character in a key": (b'"a\\u0007" = 1\n' + GOOD.encode(), "control character"),
    "a very long name": (
        (GOOD + '[[quilting]]\nkind = "' + "x" * 100_000 + '"\n').encode(),
        "quilting[1]",
    ),
    "a thousand layers": ((GOOD + LINES * 1000).encode(), "200"),
    "a million blocks": ((GOOD + "[grid]\nalong = 500\nacross = 500\n").encode(), "2,000"),
    "a hundred layers of a million stitches": (
        (GOOD.replace("500 mm", "90 m").replace("200 mm", "9 m") + LINES * 10)
        .replace("40 mm", "200 mm")
        .encode(),
        "larger than anybody can quilt",
    ),
    "centimetres for millimetres": (
        GOOD.replace("500 mm", "500 cm").replace("200 mm", "300 cm").encode(),
        "larger than anybody can quilt",
    ),
}


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_or_hostile_file_is_told_in_one_line(name: str, tmp_path: Path) -> None:
    content, wanted = BROKEN[name]
    (tmp_path / "runner.toml").write_bytes(content)
    assert wanted in told(tmp_path / "runner.toml")


NAMES = [
    "/dev/zero", "/dev/stdin", "/dev/urandom", "/proc/self/environ", "/etc/passwd",
    "../../../../../../etc/passwd", "..", ".", "/", "", "leaf.svg/leaf.svg", "CON", "aux.svg",
    "x" * 300, "x" * 100_000, "\u00e9" * 200, "leaf.svg\\u0000.txt", "file:///etc/passwd",
    "http://localhost/leaf.svg", "~/leaf.svg", "$HOME/leaf.svg", "-rf",
]  # fmt: skip


@pytest.mark.parametrize("name", NAMES, ids=lambda name: repr(name[:30]))
@pytest.mark.parametrize("key", ["motif", "outline", "profile", "drawing", "patterns"])
def test_a_tricky_file_name_is_told_in_one_line(key: str, name: str, tmp_path: Path) -> None:
    """Nothing is read that is no plain file or longer than its bound, and nothing is echoed."""
    value = f'"{name}"'.replace("\\u", "\\u") if "\\u" in name else f"'{name}'"
    text = {
        "motif": GOOD + "[grid]\nalong = 2\n" + MOTIF.format(value),
        "outline": f"[runner]\noutline_svg = {value}\n",
        "profile": GOOD + LINES + f'[machine]\nprofile = "{name}.toml"\n',
        "drawing": GOOD + f'[[quilting]]\nkind = "drawing"\nfile = {value}\n',
        "patterns": f'patterns_folder = {value}\n{GOOD}[[quilting]]\npattern = "no-such"\n',
    }[key]
    (tmp_path / "runner.toml").write_text(text, encoding="utf-8")
    line = told(tmp_path / "runner.toml")
    assert "root:" not in line


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_in_place_of_a_file_is_refused_at_once(tmp_path: Path) -> None:
    """Nobody writes into it: reading it would wait for ever."""
    os.mkfifo(tmp_path / "leaf.svg")
    os.mkfifo(tmp_path / "runner.dst")
    os.mkfifo(tmp_path / "pipe.toml")
    text = GOOD + "[grid]\nalong = 2\n" + MOTIF.format('"leaf.svg"')
    (tmp_path / "runner.toml").write_text(text)
    for arguments in (["check", "runner.toml"], ["check", "pipe.toml"], ["inspect", "runner.dst"]):
        done = subprocess.run(
            [sys.executable, "-m", "quiltpath", *arguments],
            cwd=tmp_path,
            capture_output=True,
            text=True,
            timeout=60,
            env={**os.environ, "PYTHONPATH": str(Path(__file__).parent.parent.parent)},
        )
        assert done.returncode == 2, done.stderr
        assert done.stderr.count("\n") == 1


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_that_takes_a_file_s_place_is_refused_without_waiting_for_it(
    tmp_path: Path,
) -> None:
    """A plain file when it is looked at, a pipe when it is opened."""
    os.mkfifo(tmp_path / "leaf.svg")
    told: list[OSError] = []

    class Swapped(type(Path())):  # type: ignore[misc]
        def stat(self, **_: object) -> os.stat_result:
            return Path(__file__).stat()

    def read() -> None:
        try:
            read_bounded(Swapped(tmp_path / "leaf.svg"), 100)
        except OSError as error:
            told.append(error)

    reading = threading.Thread(target=read, daemon=True)
    reading.start()
    reading.join(30)
    assert [str(error.strerror) for error in told] == ["is not a plain file"]


def test_a_file_is_read_to_its_bound_and_no_further(tmp_path: Path) -> None:
    file = tmp_path / "runner.toml"
    file.write_bytes(b"x" * 100)
    assert read_bounded(file, 100) == b"x" * 100
    assert read_bounded(file, 99) is None
    with pytest.raises(IsADirectoryError):
        read_bounded(tmp_path, 100)
    with pytest.raises(OSError, match="not a plain file"):
        read_bounded(Path("/dev/zero"), 100)


def test_a_file_that_grows_or_shrinks_while_it_is_read_is_read_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The size beforehand decides nothing: what was opened is read, at most to the bound."""
    file = tmp_path / "runner.toml"
    file.write_bytes(b"x")
    opened = os.open

    def grows(path: Path, *given: int) -> int:
        file.write_bytes(b"x" * 10_000)
        return opened(path, *given)

    monkeypatch.setattr(os, "open", grows)
    assert read_bounded(file, 5000) is None


def test_a_file_half_written_is_told_and_the_whole_one_works(tmp_path: Path) -> None:
    whole = (GOOD + LINES).encode()
    file = tmp_path / "runner.toml"
    for cut in range(0, len(whole), 7):
        file.write_bytes(whole[:cut])
        try:
            load(file)
        except InputError as error:
            assert "\n" not in str(error)
    file.write_bytes(whole)
    assert len(load(file).quilting) == 1


def test_a_long_runner_of_many_widths_is_pieced_without_end_of_memory() -> None:
    """90 widths of backing joined: the places of its seams stay few."""
    from quiltpath.materials import Cloth
    from quiltpath.materials.piecing import LayerSize, LineToAvoid, piecings

    lines = [
        LineToAvoid("join", 40_000.0),
        LineToAvoid("fold", 9_000.0),
        LineToAvoid("fold", 80_000.0),
    ]
    best = piecings(LayerSize(0, 0, 90_000, 9_000), Cloth("backing", 1016.0), 6.35, lines)[0]
    assert sum(piece.on_width_mm * piece.on_length_mm for piece in best.pieces) >= 90_000 * 9_000


def test_one_line_stays_one_short_line() -> None:
    error = InputError("a\nb\x1b[2J", "k" * 10_000, "wrong\r\n", "mend\tit")
    assert "\n" not in str(error) and "\x1b" not in str(error)
    assert len(str(error)) < 500


def test_parsing_keeps_tabs_and_line_ends_in_a_text() -> None:
    assert parse('title = "a\\tb"\n' + GOOD).title == "a\tb"
