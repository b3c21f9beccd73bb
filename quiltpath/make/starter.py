"""The commented project file that ``new`` writes."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from quiltpath.errors import InputError


def starter_text() -> str:
    """A project that makes a runner as it stands."""
    return files("quiltpath.project").joinpath("starter.toml").read_text(encoding="utf-8")


def write_starter(path: Path) -> None:
    """Write the starter to ``path``; raises :class:`InputError` where something is there."""
    text = starter_text().replace("FILE", path.name)
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise InputError(path.name, "", "is there already", "choose another name") from None
    except OSError as error:
        reason = (error.strerror or "cannot be written").lower()
        raise InputError(path.name, "", reason, "choose another folder") from None
