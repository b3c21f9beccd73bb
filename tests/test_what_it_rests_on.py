"""Every dependency has a lower bound, and a row in DEVELOPERS.md with its licence and reason."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
NEEDED = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["test"]]


def test_each_has_a_lower_bound_and_no_upper_one() -> None:
    assert [line for line in NEEDED if not re.fullmatch(r"[a-z0-9-]+>=[0-9.]+", line)] == []


def test_each_is_listed_with_licence_and_reason() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = text.split("## What it rests on")[1].split("\n## ")[0]
    rows = re.findall(r"^\| ([a-z][a-z0-9-]+) \| ([^|]+) \| ([^|]+) \|$", section, re.M)
    names = [name for name, *_ in rows if name != "name"]
    assert sorted(names) == sorted(line.split(">=")[0] for line in NEEDED)
    free = re.compile(r"MIT|BSD|Apache|MPL")
    assert [name for name, licence, _ in rows if name in names and not free.search(licence)] == []
