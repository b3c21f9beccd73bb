"""A JSON Schema of the project file, for editors that help with TOML (draft 2020-12).

The validating library writes it from the models; here it gets what it cannot know: what each key
means, how a default is written, and which keys a layer has by its kind.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pydantic.json_schema import models_json_schema

from quiltpath.patterns.kinds import KINDS
from quiltpath.project.key_facts import default_of, section_at
from quiltpath.project.key_list import meanings_of
from quiltpath.project.project_file import Project
from quiltpath.schema import Section

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def editor_schema() -> dict[str, Any]:
    """The schema as tables, ready for JSON."""
    models: list[type[Section]] = [Project, *(kind.model for kind in KINDS.values())]
    sections = {*models, *_sections(Project)}
    for model in sections:
        model.model_rebuild()  # earlier releases write no default of a section that was never met
    refs, whole = models_json_schema([(model, "validation") for model in models])
    parts: dict[str, Any] = whole["$defs"]
    for model in sections:
        if model.__name__ in parts:
            _explain(parts[model.__name__], model)
    project = parts.pop("Project")
    project["properties"]["quilting"]["items"] = _layers(refs)
    # The runner's size may follow from the table.
    project.pop("required", None)
    return {"$schema": DRAFT, "title": "A quiltpath project", **project, "$defs": parts}


def _sections(model: type[Section]) -> Iterator[type[Section]]:
    for key in model.model_fields:
        if inner := section_at(model, key):
            yield inner
            yield from _sections(inner)


def _explain(part: dict[str, Any], model: type[Section]) -> None:
    meanings = meanings_of(model)
    part.pop("title", None)
    for key, known in part.get("properties", {}).items():
        known.pop("title", None)
        known.pop("default", None)
        default = default_of(model.model_fields[key])
        left_out = f" (left out: {default})" if default else ""
        if text := f"{meanings.get(key, '')}{left_out}".strip():
            known["description"] = text


def _layers(refs: Any) -> dict[str, Any]:
    """One layer: a pattern by name, or a kind, which says what keys there are."""
    by_kind = [
        {
            "if": {"properties": {"kind": {"const": word}}, "required": ["kind"]},
            "then": refs[(kind.model, "validation")],
        }
        for word, kind in KINDS.items()
    ]
    return {
        "type": "object",
        "properties": {"kind": {"enum": list(KINDS)}, "pattern": {"type": "string"}},
        "oneOf": [{"required": ["kind"]}, {"required": ["pattern"]}],
        "allOf": by_kind,
    }
