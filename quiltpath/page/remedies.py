"""What would mend a finding, as changes that the page can make."""

from __future__ import annotations

from typing import Any

from quiltpath.findings import Setting
from quiltpath.page.settings import LAYER
from quiltpath.project import Project
from quiltpath.result.values import Result

Part = dict[str, Any]


def remedies(result: Result) -> list[list[Part]]:
    """For each thing to think about the changes that mend it, none where it takes a person."""
    return [
        [_change(setting, result.project) for setting in finding.settings]
        for finding in result.for_a_person
    ]


def _change(setting: Setting, project: Project) -> Part:
    entry = project.entry_of_layer[setting.layer]
    kind = project.quilting[project.entry_of_layer.index(entry)].kind
    place = {"section": LAYER, "entry": entry, "kind": kind, "name": setting.key}
    return {"key": "setting", "value": setting.value, **place}
