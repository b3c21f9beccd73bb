"""Named patterns: TOML files of layers that a project names and changes as it likes."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from quiltpath.errors import InputError
from quiltpath.files import is_folder, read_bounded
from quiltpath.patterns.kinds import KINDS
from quiltpath.schema import decode_text, toml_content

MAX_PATTERN_BYTES = 200_000


@dataclass(frozen=True)
class Pattern:
    """One pattern file: what it is called, what it is for, and its layers as in a project."""

    name: str
    title: str
    about: str
    foot: str
    layers: tuple[Mapping[str, Any], ...]


@dataclass(frozen=True)
class PatternBook:
    """Folders in which patterns are looked for, the user's own first."""

    folders: tuple[Path, ...]
    own: str | None = None
    """the user's folder as the project file names it; its drawings are looked for in it"""

    @classmethod
    def beside(cls, folder: Path | None, own: str | None, where: str) -> PatternBook:
        """The shipped patterns, preceded by the user's folder beside the project file."""
        if own is None or folder is None:
            return cls((shipped_folder(),))
        if not is_folder(folder / own):
            raise InputError(
                where, "patterns_folder", f"there is no folder {own!r}", "name one beside this file"
            )
        return cls((folder / own, shipped_folder()), own)

    def names(self) -> list[str]:
        """All names, sorted; a user's pattern hides a shipped one of the same name."""
        files = [path for folder in self.folders for path in folder.glob("*.toml")]
        if self.own is not None:
            files += self.folders[0].glob("*.svg")
        return sorted({path.stem for path in files})

    def find(self, name: str) -> Pattern:
        """The pattern of that name; raises :class:`InputError` with the nearest names."""
        for folder in self.folders:
            path = folder / f"{name}.toml"
            if name in self.names() and path.is_file():
                return self._with_own_files(read_pattern(path), folder)
        if self.own is not None and name in self.names():
            return self._with_own_files(drawn_pattern(name), self.folders[0])
        close = difflib.get_close_matches(name, self.names(), n=3)
        remedy = f"did you mean {' or '.join(close)}?" if close else "see 'quiltpath patterns'"
        raise InputError("", "pattern", f"there is no pattern {name!r}", remedy)

    def _with_own_files(self, pattern: Pattern, folder: Path) -> Pattern:
        """File names of a pattern in the user's folder, as seen from the project file."""
        if self.own is None or folder != self.folders[0]:
            return pattern
        layers = [
            {**layer, "file": f"{self.own}/{layer['file']}"} if "file" in layer else layer
            for layer in pattern.layers
        ]
        return replace(pattern, layers=tuple(layers))

    def layers(self, name: str, changes: Mapping[str, Any]) -> list[dict[str, Any]]:
        """The pattern's layers as a project would write them, with the user's changes laid over.

        A change reaches the layers whose kind has that key; a key that none has reaches the first,
        so that it is told as the mistake it is.
        """
        pattern = self.find(name)
        known = [_keys(layer) for layer in pattern.layers]
        layers = []
        for number, layer in enumerate(pattern.layers, start=1):
            plain_name = pattern.title if len(pattern.layers) == 1 else f"{pattern.title} {number}"
            fitting = {
                key: value
                for key, value in changes.items()
                if key in known[number - 1] or (number == 1 and not any(key in k for k in known))
            }
            layers.append({"name": plain_name, **layer, **fitting})
        return layers


def _keys(layer: Mapping[str, Any]) -> set[str]:
    """The keys that a layer of this kind can have."""
    kind = KINDS.get(str(layer.get("kind")))
    return set(kind.model.model_fields) if kind else set()


@cache
def shipped_folder() -> Path:
    """Where pattern files lie: inside the installed package, or beside it in a checkout."""
    inside = Path(__file__).parent.parent / "pattern_files"
    return inside if inside.is_dir() else inside.parent.parent / "patterns"


def drawn_pattern(name: str) -> Pattern:
    """A drawing that lies in the user's folder without a word about it: repeated in rows."""
    layer = {"kind": "drawing", "file": f"{name}.svg"}
    title = name.replace("-", " ").capitalize()
    return Pattern(name, title, "Your own drawing.", _foot(layer), (layer,))


def read_pattern(path: Path) -> Pattern:
    """The pattern in one TOML file; raises :class:`InputError`."""
    content = _tables(path)
    layers: Sequence[Any] = content.get("layer", [])
    unknown = set(content) - {"title", "about", "foot", "layer"}
    if unknown:
        raise InputError(
            path.name, min(unknown), "there is no such key", "use title, about, foot and [[layer]]"
        )
    if not isinstance(layers, list) or not layers or not all(isinstance(x, dict) for x in layers):
        raise InputError(path.name, "layer", "the pattern has no layers", "add a [[layer]] table")
    title, about = (str(content.get(key, "")) for key in ("title", "about"))
    foot = str(content.get("foot", "")) or _foot(layers[0])
    return Pattern(path.stem, title or path.stem, about, foot, tuple(layers))


def _foot(layer: Mapping[str, Any]) -> str:
    """What suits a pattern that does not say: the foot of its first layer's kind."""
    kind = KINDS.get(str(layer.get("kind")))
    return kind.foot if kind else ""


def _tables(path: Path) -> dict[str, Any]:
    try:
        contents = read_bounded(path, MAX_PATTERN_BYTES)
        if contents is None:
            raise InputError(path.name, "", "is too large for a pattern", "keep only its layers")
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the name and the folder") from None
    return toml_content(decode_text(contents, path.name), path.name)
