"""No network at run time: the whole job runs where no socket can be made and no name looked up."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.small_projects import PLAIN, STRAIGHT

ROOT = Path(__file__).parent.parent
REFUSING = """
import os, sys

def refuse(event, given):
    if event.startswith("socket.") and event != "socket.gethostname":
        with open(os.environ["ASKED"], "a") as asked:
            asked.write(event + "\\n")
        raise AssertionError(f"asked for {event}")

sys.addaudithook(refuse)
"""
"""Read by the interpreter before anything else, in the processes that a command starts as well."""


def asked_for(arguments: list[str], folder: Path) -> tuple[int, str]:
    """Exit code of the interpreter with ``arguments``, and what was asked of the network."""
    (folder / "sitecustomize.py").write_text(REFUSING)
    asked = folder / "asked"
    asked.touch()
    given = {**os.environ, "PYTHONPATH": f"{folder}{os.pathsep}{ROOT}", "ASKED": str(asked)}
    done = subprocess.run(
        [sys.executable, *arguments], capture_output=True, text=True, cwd=ROOT, env=given
    )
    return done.returncode, asked.read_text()


LIVE = {"quiltpath/page"}
"""The live page serves this machine alone; its own tests hold it to that."""
NETWORK = {
    "socket", "ssl", "urllib", "urllib3", "http", "requests", "httpx", "aiohttp", "ftplib",
    "smtplib", "asyncio", "socketserver", "xmlrpc", "telnetlib", "poplib", "imaplib",
}  # fmt: skip


@pytest.mark.parametrize(
    "arguments",
    [
        ["make", "samples/supper-mats/runner.toml", "--out", "{out}"],
        ["check", "samples/harvest-supper/runner.toml"],
        ["compare", "{small}", "--spacing", "2 in, 3 in", "--out", "{out}"],
        ["patterns"],
        ["patterns", "--on", "{small}", "--sheet", "{out}.svg"],
        ["formats"],
        ["machines"],
    ],
    ids=lambda arguments: arguments[0],
)
def test_a_command_asks_for_no_socket(arguments: list[str], tmp_path: Path) -> None:
    small = tmp_path / "runner.toml"
    small.write_text(PLAIN + STRAIGHT)
    given = [a.format(out=tmp_path / "out", small=small) for a in arguments]
    code, asked = asked_for(["-m", "quiltpath", *given], tmp_path)
    assert code in (0, 1)
    assert asked == ""


FRESH = """
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

if __name__ == "__main__":
    from socket import gethostbyname
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        pool.submit(gethostbyname, "localhost").exception()
"""


@pytest.mark.parametrize(
    "act",
    ["import socket; socket.socket()", "import socket; socket.getaddrinfo('localhost', 80)", FRESH],
    ids=["socket", "look up", "in a process of its own"],
)
def test_the_refusal_works(act: str, tmp_path: Path) -> None:
    script = tmp_path / "script.py"
    script.write_text(act)
    assert asked_for([str(script)], tmp_path)[1].startswith("socket.")


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
