"""Every key of the project file as a field of the page: what the file says now, and a new value.

The list of keys is the one that ``quiltpath keys`` prints, so that a new key is on the page the day
that it is in its model.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from quiltpath.patterns.kinds import KINDS
from quiltpath.project import Project
from quiltpath.project.key_facts import Takes, as_written, section_at, values_of_key
from quiltpath.project.key_list import SectionFacts, all_sections
from quiltpath.schema import Section, toml_content

Part = dict[str, Any]

LAYER = "quilting"
LONGEST_VALUE = 500

TRUTHS = ("true", "false")


def settings_of(text: str, layers: Sequence[tuple[str, str]]) -> Iterator[Part]:
    """Each table of the file and each of its entries, and an empty one for a further entry.

    ``layers`` are the kind of each layer and what a person reads of it.
    """
    content = toml_content(text, "")
    by_name = {facts.name: facts for facts in all_sections()}
    for name, facts in by_name.items():
        if name.startswith(f"{LAYER}."):
            continue
        model = section_model(name)
        assert model is not None
        if not is_many(name):
            yield _part(facts, model, _table(content, name), {"section": name})
        elif "." not in name:
            for number, table in enumerate(content.get(name, [])):
                yield _part(facts, model, table, {"section": name, "entry": number})
            if is_further(name):
                yield {**_part(facts, model, {}, {"section": name}), "further": True}
    for number, ((kind, called), table) in enumerate(
        zip(layers, content.get(LAYER, []), strict=True)
    ):
        facts, place = by_name[f"{LAYER}.{kind}"], {"section": LAYER, "entry": number, "kind": kind}
        yield {**_part(facts, KINDS[kind].model, table, place), "called": called}


def section_model(name: str, kind: str = "") -> type[Section] | None:
    """The model of a table of the file, by its name with dots; None where there is no such one."""
    if name == LAYER:
        return KINDS[kind].model if kind in KINDS else None
    model: type[Section] | None = Project
    for part in name.split(".") if name else ():
        model = section_at(model, part) if model else None
    return model


def is_further(name: str) -> bool:
    """Whether the page adds such tables by their keys; layers are added by their pattern."""
    return name != LAYER and "." not in name and is_many(name)


def is_many(name: str) -> bool:
    """Whether a file may have several of these tables, or of one that it lies in."""
    model: type[Section] | None = Project
    for part in name.split(".") if name else ():
        takes = values_of_key(model, part) if model else None
        if takes is not None and takes.many:
            return True
        model = takes.section if takes else None
    return False


def _table(content: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    for part in name.split(".") if name else ():
        inner = content.get(part, {})
        content = inner if isinstance(inner, Mapping) else {}
    return content


def _part(facts: SectionFacts, model: type[Section], table: Mapping[str, Any], place: Part) -> Part:
    keys = []
    for fact in facts.keys:
        takes = values_of_key(model, fact.key)
        assert takes is not None
        keys.append(
            {
                "name": fact.key,
                "meaning": fact.meaning.replace("`", ""),
                "takes": f"{fact.takes}, in {fact.unit}" if fact.unit else fact.takes,
                "default": fact.default.strip('"'),
                "options": list(TRUTHS if takes.example in TRUTHS else takes.options),
                "value": said(table[fact.key]) if fact.key in table else "",
            }
        )
    return {**place, "called": str(table.get("name", "")), "about": facts.about, "keys": keys}


def said(value: Any) -> str:
    """A value as a person types it: text without quotation marks, several between commas."""
    if isinstance(value, str):
        return value
    if not isinstance(value, list) or len(value) < 2:
        return as_written(value)
    inner = any(isinstance(each, list | dict) for each in value)
    return as_written(value) if inner else ", ".join(said(each) for each in value)


def as_typed(text: str, takes: Takes) -> Any:
    """What a file says for what a person typed; the model judges it like all that is in a file."""
    if text in takes.options:
        return text
    only_lists = takes.words.startswith("a list") and " or " not in takes.words
    several = "," in text or only_lists
    if takes.is_list and several and not text.startswith("["):
        return [_one(part.strip()) for part in text.split(",")]
    return text if takes.words.startswith("text") else _one(text)


def _one(text: str) -> Any:
    """A number, a truth or a list where the text is one, else the text."""
    try:
        value = tomlkit.value(text).unwrap()
    except (TOMLKitError, ValueError):
        return text
    return value if isinstance(value, bool | int | float | list) else text
