"""No network at run time: the whole job runs where no socket can be made and no name looked up."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
REFUSING = """
import sys

def refuse(event, given):
    if event.startswith("socket.") and event != "socket.gethostname":
        raise AssertionError(f"asked for {event}")

sys.addaudithook(refuse)
from quiltpath.cli import main
main()
"""
LIVE = {"quiltpath/live"}
"""The live page serves this machine alone; its own tests hold it to that."""
NETWORK = {
    "socket", "ssl", "urllib", "urllib3", "http", "requests", "httpx", "aiohttp", "ftplib",
    "smtplib", "asyncio", "socketserver", "xmlrpc", "telnetlib", "poplib", "imaplib",
}  # fmt: skip


@pytest.mark.parametrize(
    "arguments",
    [
        ["make", "samples/galley/runner.toml", "--out", "{out}"],
        ["check", "samples/harvest-supper/runner.toml"],
        ["compare", "samples/galley/runner.toml", "--spacing", "2 in, 3 in", "--out", "{out}"],
        ["patterns"],
        ["formats"],
        ["machines"],
    ],
    ids=lambda arguments: arguments[0],
)
def test_a_command_asks_for_no_socket(arguments: list[str], tmp_path: Path) -> None:
    given = [argument.replace("{out}", str(tmp_path / "out")) for argument in arguments]
    done = subprocess.run(
        [sys.executable, "-c", REFUSING, *given], capture_output=True, text=True, cwd=ROOT
    )
    assert done.returncode in (0, 1), done.stderr
    assert "asked for" not in done.stderr


def test_the_refusal_works() -> None:
    for act in ("socket.socket()", "socket.getaddrinfo('localhost', 80)"):
        asked = REFUSING.replace("from quiltpath.cli import main\nmain()", f"import socket\n{act}")
        done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True)
        assert "asked for socket." in done.stderr, act


def test_only_the_live_page_imports_what_talks() -> None:
    talking = set()
    for path in sorted((ROOT / "quiltpath").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module:
                names = [node.module]
            if NETWORK & {name.split(".")[0] for name in names}:
                talking.add(path.parent.relative_to(ROOT).as_posix())
    assert talking <= LIVE


def test_pages_name_no_other_place_to_fetch_from() -> None:
    """Nothing in what is shipped loads from elsewhere: names of XML spaces are no addresses."""
    fetching = re.compile(r"""(?:src|href|url\(|import|fetch\()\s*=?\s*["']?(https?:[^"'\s)]+)""")
    for path in sorted((ROOT / "quiltpath").rglob("*")):
        if path.suffix in (".html", ".css", ".js"):
            text = path.read_text(encoding="utf-8")
            assert fetching.findall(text) == [], path.name
