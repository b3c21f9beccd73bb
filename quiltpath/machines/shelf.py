"""Where profiles are found: the user's own folder first, then those that ship."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from quiltpath.errors import InputError
from quiltpath.files import is_folder, read_bounded
from quiltpath.machines.profile import MachineProfile
from quiltpath.project.toml_text import decoded, toml_content

MAX_PROFILE_BYTES = 100_000
_SHIPPED = Path(__file__).parent / "profiles"


@dataclass(frozen=True)
class ProfileShelf:
    """Folders of profiles, the user's own first; a profile is named by its file's stem."""

    folders: tuple[Path, ...] = (_SHIPPED,)

    @classmethod
    def beside(cls, folder: Path | None, own: str | None, where: str = "") -> ProfileShelf:
        """The shipped profiles, preceded by the folder ``own`` beside the project file."""
        if own is None or folder is None:
            return cls()
        if not is_folder(folder / own):
            raise InputError(
                where, "machine.folder", f"there is no folder {own!r}", "name one beside this file"
            )
        return cls((folder / own, _SHIPPED))

    def names(self) -> list[str]:
        """All names, sorted; a user's profile hides a shipped one of the same name."""
        return sorted({path.stem for folder in self.folders for path in folder.glob("*.toml")})

    def find(self, name: str) -> MachineProfile:
        """The profile of that name; raises ``InputError`` with the nearest names."""
        if name in self.names():
            paths = (folder / f"{name}.toml" for folder in self.folders)
            return read_profile(next(path for path in paths if path.is_file()))
        close = difflib.get_close_matches(name, self.names(), n=3)
        remedy = f"did you mean {' or '.join(close)}?" if close else f"use {self.names()[0]}, ..."
        raise InputError("", "machine.profile", f"there is no machine {name!r}", remedy)


def read_profile(path: Path) -> MachineProfile:
    """The profile in a TOML file; raises ``InputError``, one line."""
    try:
        contents = read_bounded(path, MAX_PROFILE_BYTES)
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the name and the folder") from None
    if contents is None:
        raise InputError(path.name, "", "is too large for a machine profile", "shorten it")
    return profile_from(contents, path.name)


def profile_from(contents: bytes, name: str) -> MachineProfile:
    """The profile in the contents of a file called ``name``; raises ``InputError``, one line."""
    try:
        return MachineProfile.model_validate(toml_content(decoded(contents, name), name))
    except ValidationError as error:
        raise _told(error, name) from None


def _told(error: ValidationError, name: str) -> InputError:
    faults = error.errors(include_url=False)
    # A misspelt key is also a missing one: the misspelling is the fault to tell.
    first = next((fault for fault in faults if fault["type"] == "extra_forbidden"), faults[0])
    key = ".".join(str(part) for part in first["loc"])
    if first["type"] == "quiltpath":
        return InputError(name, key, str(first["ctx"]["wrong"]), str(first["ctx"]["right"]))
    if first["type"] == "extra_forbidden":
        known = ", ".join(MachineProfile.model_fields)
        return InputError(name, key, "there is no such key", f"use one of {known}")
    if first["type"] == "missing":
        return InputError(name, key, "is missing", "add it")
    return InputError(name, key, str(first["msg"]).lower())
