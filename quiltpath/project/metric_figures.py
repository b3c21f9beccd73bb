"""Round metric figures for what a file leaves open, where its handout is to be metric.

Who cuts by a metric ruler does not cut 57 mm strips with 6.35 mm seams: the trade has figures of
its own for the same things (common practice): seams of 6 mm, binding cut 6 cm wide and sewn on
with 7.5 mm, 10 cm more backing all round. What the file gives stays as it is.
"""

from __future__ import annotations

from typing import TypeVar

from quiltpath.project.materials_sections import ClothSection
from quiltpath.project.project_file import Project
from quiltpath.schema import Section

METRIC_MM: dict[str, dict[str, float]] = {
    "table": {"drop": 200},
    "panel": {"seam": 6},
    "cloth": {"width": 1000},
    "top": {"seam": 6},
    "materials": {"allowance": 50},
    "backing": {"extra": 100, "seam": 12, "clear": 50},
    "wadding": {"extra": 75, "clear": 50},
    "basting": {"pins_apart": 100, "at_a_go": 500},
    "binding": {
        "bias_below": 600, "bulk": 3, "cover": 6, "loose_start": 100, "open": 200, "mitre": 3,
        "clear": 50,
    },
}  # fmt: skip
"""By section and key, in mm."""

BINDING_MM = {
    "double": {"seam": 7.5, "width": 60, "cover": 4.5},
    "single": {"seam": 12.5, "width": 50},
}
"""By the fold, where the file gives neither seam nor width: 2 x (3 x 7.5 + 3 + 4.5) = 60 mm."""

WADDING_WIDTH_MM = 2200.0
"""Width of a usual metric roll of wadding (common practice)."""

NAMED = ("backing", "binding", "block", "sashing", "cornerstone", "outer sashing", "border")

One = TypeVar("One", bound=Section)


def fill_metric_figures(project: Project) -> Project:
    """The project with metric figures for what is left open; as it is where inches count."""
    if project.handout_units != "metric":
        return project
    changes: dict[str, object] = {}
    for name, figures in METRIC_MM.items():
        section = getattr(project, name)
        if isinstance(section, tuple):
            changes[name] = tuple(_filled(one, figures) for one in section)
        elif section is not None:
            changes[name] = _filled(section, figures)
    binding = project.binding
    if binding.seam is None and binding.width is None:
        figures = METRIC_MM["binding"] | BINDING_MM[binding.fold]
        changes["binding"] = _filled(binding, figures)
    cloths = changes["cloth"]
    assert isinstance(cloths, tuple)
    changes["cloth"] = (*cloths, *_usual_cloths(project))
    return project.replaced(**changes)


def _filled(section: One, figures: dict[str, float]) -> One:
    """The section with figures for the keys that the file left out."""
    return section.replaced(
        **{key: mm for key, mm in figures.items() if key not in section.model_fields_set}
    )


def _usual_cloths(project: Project) -> list[ClothSection]:
    """A cloth of a usual metric width for each use that the file names none for."""
    named = {use for cloth in project.cloth for use in cloth.uses}
    found = [("wadding", WADDING_WIDTH_MM), *((use, METRIC_MM["cloth"]["width"]) for use in NAMED)]
    return [
        ClothSection.model_construct(name=use, use=use, width=width)
        for use, width in found
        if use not in named
    ]
