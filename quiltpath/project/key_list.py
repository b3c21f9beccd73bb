"""Every key of the project file with what it means, as values: read off the models and the starter.

What a key means is the text below it in its model; what it takes, its default and its limits are
the model's own. An example is the starter's where it has the key, then the default, then one of
its kind.
"""

from __future__ import annotations

import ast
import importlib
import inspect
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from quiltpath.patterns.kinds import KINDS
from quiltpath.project.key_facts import as_written, default_of, section_at, values_of_key
from quiltpath.project.loading import starter_text
from quiltpath.project.project_file import Project
from quiltpath.schema import Section

_MM = (
    (re.compile(r"^mm (larger|wider)"), r"how much \1"),
    (re.compile(r"^mm that"), "length that"),
    (re.compile(r"^mm(?:[,;]| of|) ?"), ""),
)
"""A file gives a length its own unit: that it is in mm once it is read is for programs."""

_UNITS = ("degrees", "seconds", "metres", "minutes")
_IN_WHICH_UNIT = "mm, cm, m, in, ft or yd"


@dataclass(frozen=True)
class KeyFact:
    """One key: ``takes`` holds its limits, ``default`` is empty where it is left out or must be
    there, ``unit`` is empty for words, counts and shares."""

    key: str
    meaning: str
    takes: str
    unit: str
    default: str
    example: str
    must: bool = False


@dataclass(frozen=True)
class SectionFacts:
    """One table: its name, how it is begun in a file, what it is for, its keys."""

    name: str
    heading: str
    about: str
    keys: tuple[KeyFact, ...]


def all_sections() -> tuple[SectionFacts, ...]:
    """The keys before any section, the sections in their order, then the kinds of layer."""
    top = tuple(k for k in _facts(Project, {}) if section_at(Project, k.key) is None)
    first = SectionFacts("", "at the top of the file", "Before the first section.", top)
    return (first, *_sections(Project, "", starter()), *_kinds())


@cache
def starter() -> Mapping[str, Any]:
    """The tables of the starter file."""
    return tomllib.loads(starter_text())


def _sections(
    model: type[Section], before: str, shown: Mapping[str, Any]
) -> Iterator[SectionFacts]:
    for key in model.model_fields:
        inner, takes = section_at(model, key), values_of_key(model, key)
        if inner is None or takes is None or key == "quilting":
            continue
        name, entry = f"{before}{key}", shown.get(key, {})
        entry = entry[0] if isinstance(entry, list) else entry
        heading = f"[[{name}]]" if takes.many else f"[{name}]"
        plain = [fact for fact in _facts(inner, entry) if section_at(inner, fact.key) is None]
        yield SectionFacts(name, heading, _about(inner), tuple(plain))
        yield from _sections(inner, f"{name}.", entry)


def _kinds() -> Iterator[SectionFacts]:
    for word, kind in KINDS.items():
        heading = f'[[quilting]] with kind = "{word}"'
        facts = tuple(_facts(kind.model, {}))
        yield SectionFacts(f"quilting.{word}", heading, _about(kind.model), facts)


def _about(model: type[Section]) -> str:
    return " ".join((inspect.getdoc(model) or "").split("\n\n")[0].split())


def _facts(model: type[Section], shown: Mapping[str, Any]) -> Iterator[KeyFact]:
    meanings = meanings_of(model)
    for key, field in model.model_fields.items():
        takes = values_of_key(model, key)
        assert takes is not None
        default, meaning = default_of(field), meanings.get(key, "")
        example = as_written(shown[key]) if key in shown else default
        example = takes.example if example in ("", "[]", "{}", '""', '"0 mm"', "0") else example
        yield KeyFact(
            key,
            _for_a_file(meaning),
            takes.words,
            _unit(meaning, takes.words),
            default if default not in ("[]", "{}", '""') else "",
            f"{key} = {example}",
            field.is_required(),
        )


def _for_a_file(meaning: str) -> str:
    for pattern, plain in _MM:
        meaning = pattern.sub(plain, meaning)
    return meaning


def _unit(meaning: str, takes: str) -> str:
    if "length" in takes:
        return _IN_WHICH_UNIT
    return next((unit for unit in _UNITS if unit in meaning.split(";")[0]), "")


@cache
def meanings_of(model: type[Section]) -> Mapping[str, str]:
    """What each key means: the text that stands below it in its model or in one it builds on."""
    found: dict[str, str] = {}
    for owner in reversed(model.__mro__):
        if issubclass(owner, Section) and owner is not Section:
            found |= dict(_texts_below(owner))
    return found


@cache
def _classes_in(module: str) -> Mapping[str, ast.ClassDef]:
    """The classes as the module's text has them; it is read once for all of them."""
    tree = ast.parse(inspect.getsource(importlib.import_module(module)))
    return {node.name: node for node in tree.body if isinstance(node, ast.ClassDef)}


def _texts_below(owner: type[Section]) -> Iterator[tuple[str, str]]:
    tree = _classes_in(owner.__module__)[owner.__name__]
    for field, text in zip(tree.body, tree.body[1:], strict=False):
        if not (isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name)):
            continue
        if isinstance(text, ast.Expr) and isinstance(text.value, ast.Constant):
            yield field.target.id, " ".join(str(text.value.value).split())
