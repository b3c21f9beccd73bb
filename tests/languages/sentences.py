"""Every sentence that paper can speak, document by document, to be read in one go.

    python -m tests.languages.sentences          all of them, in English
    python -m tests.languages.sentences de       each with its German below it
    python -m tests.languages.sentences de new   as entries of a catalogue, those it lacks

A sentence stands where it is said, as the first argument of ``say``, ``message`` (said later) or
``count`` and ``messages`` (one and several). Titles of patterns and machines are read from their
files, since they are printed as well.
"""

from __future__ import annotations

import ast
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from babel.messages.pofile import read_po

from quiltpath.language import FOLDER
from quiltpath.patterns.book import shipped_folder
from quiltpath.patterns.kinds import KINDS
from quiltpath.project.materials_sections import ClothUse

PACKAGE = FOLDER.parent
SENTENCES = ("say", "message")
COUNTED = ("count", "say_count", "messages")
DOCUMENTS = (
    ("INSTRUCTIONS", "documents/instructions/"),
    ("SHEETS TO MARK BY", "marking/"),
    ("GUIDE AND NOTES", "documents/"),
    ("NOTES OF FURTHER FILES", "jobs/"),
    ("WORDS THAT ALL OF THEM SHARE", ""),
)


@dataclass(frozen=True)
class Sentence:
    """English as it stands in the code: ``many`` where it is counted; and its module."""

    text: str
    many: str
    where: str

    @property
    def key(self) -> str | tuple[str, str]:
        """What a catalogue finds it by."""
        return (self.text, self.many) if self.many else self.text


def sentences() -> tuple[Sentence, ...]:
    """Each once, in the order of the documents, and in each as they stand in the code.

    A word that is counted elsewhere is the same entry, as it is in a catalogue.
    """
    found: dict[str | tuple[str, str], Sentence] = {}
    paths = sorted(PACKAGE.rglob("*.py"), key=_document)
    for sentence in (*(s for path in paths for s in _in_module(path)), *_titles()):
        found.setdefault(sentence.key, sentence)
    counted = {sentence.text for sentence in found.values() if sentence.many}
    return tuple(s for s in found.values() if s.many or s.text not in counted)


def document_of(where: str) -> str:
    """The document that a module's sentences stand in."""
    return next(name for name, folder in DOCUMENTS if where.startswith(folder))


def _document(path: Path) -> tuple[int, str]:
    where = path.relative_to(PACKAGE).as_posix()
    names = [name for name, _ in DOCUMENTS]
    return names.index(document_of(where)), where


def calls(path: Path) -> Iterator[tuple[str, ast.Call]]:
    """The calls of a module that say or mark a sentence, by the function's name."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    speaks = any(
        isinstance(node, ast.ImportFrom) and node.module == "quiltpath.language"
        for node in ast.walk(tree)
    )
    found = [
        (node.func.id, node)
        for node in (ast.walk(tree) if speaks else ())
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in (*SENTENCES, *COUNTED)
    ]
    yield from sorted(found, key=lambda call: (call[1].lineno, call[1].col_offset))


def _in_module(path: Path) -> Iterator[Sentence]:
    where = path.relative_to(PACKAGE).as_posix()
    for name, call in calls(path):
        words = [arg.value for arg in call.args if isinstance(arg, ast.Constant)]
        words = [word for word in words if isinstance(word, str)]
        if not words:
            continue
        if name in SENTENCES:
            yield Sentence(words[0], "", where)
        else:
            yield Sentence(words[0], words[1] if len(words) > 1 else f"{words[0]}s", where)


def _titles() -> Iterator[Sentence]:
    """Names of cloths and kinds, titles of patterns and machines, and a machine's foot."""
    for use in get_args(ClothUse):
        yield Sentence(use, "", "project/materials_sections.py")
    for kind in KINDS.values():
        yield Sentence(kind.word, "", "patterns/kinds.py")
    profiles = sorted((PACKAGE / "machine" / "profiles").glob("*.toml"))
    for path in (*sorted(shipped_folder().glob("*.toml")), *profiles):
        told = tomllib.loads(path.read_text(encoding="utf-8"))
        yield Sentence(told["title"], "", path.name)
        if path in profiles and "foot" in told:
            yield Sentence(told["foot"], "", path.name)


def catalogue(language: str) -> dict[str | tuple[str, str], str | tuple[str, ...]]:
    """The entries of a language as they stand in its file."""
    with (FOLDER / f"{language}.po").open("rb") as file:
        entries = read_po(file, locale=language)
    return {
        tuple(entry.id) if entry.pluralizable else str(entry.id): (
            tuple(entry.string) if entry.pluralizable else str(entry.string)
        )
        for entry in entries
        if entry.id
    }


def listing(language: str = "en", new: bool = False) -> Iterator[str]:
    """Lines to read: a heading for each document, the sentences below it."""
    known = (
        {} if language == "en" or not (FOLDER / f"{language}.po").exists() else catalogue(language)
    )
    heading = ""
    for sentence in sentences():
        document = document_of(sentence.where)
        if new:
            if sentence.key not in known:
                yield from _entry(sentence)
            continue
        if document != heading:
            heading = document
            yield f"\n{heading}\n"
        yield sentence.text + (f" / {sentence.many}" if sentence.many else "")
        said = known.get(sentence.key)
        if said:
            yield f"    {said if isinstance(said, str) else ' / '.join(said)}"


def _entry(sentence: Sentence) -> Iterator[str]:
    def quoted(text: str) -> str:
        return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'

    yield f"#: {sentence.where}"
    yield f"msgid {quoted(sentence.text)}"
    if sentence.many:
        yield f"msgid_plural {quoted(sentence.many)}"
        yield 'msgstr[0] ""\nmsgstr[1] ""\n'
    else:
        yield 'msgstr ""\n'


if __name__ == "__main__":
    for line in listing(*sys.argv[1:2], new="new" in sys.argv[2:]):
        print(line)
