"""A runner whose size follows from its table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from quiltpath.project.runner_sections import ONE_SIZE
from quiltpath.units import MM_PER_INCH, parse_length

DROP_MM = 8 * MM_PER_INCH


def _has_a_size_of_its_own(runner: Mapping[str, Any]) -> bool:
    """True for a drawn outline, and for a round or square centre, which no table's length fits."""
    drawn = "outline" in runner or "outline_svg" in runner
    return drawn or runner.get("shape") in ONE_SIZE


def sized_by_table(content: Any, units: str | None) -> Any:
    """The file's tables with the runner's length and width filled in from ``[table]``.

    Length = table length + 2 x drop; width = a third of the table's. What the file says itself
    stays; lengths that cannot be read are left for the model to complain of.
    """
    if not isinstance(content, Mapping) or not isinstance(content.get("table"), Mapping):
        return content
    table, runner = content["table"], content.get("runner", {})
    if not isinstance(runner, Mapping) or _has_a_size_of_its_own(runner):
        return content
    try:
        length = parse_length(table["length"], units)
        width = parse_length(table["width"], units)
        drop = parse_length(table["drop"], units) if "drop" in table else DROP_MM
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError):
        return content
    found = {"length": f"{length + 2 * drop:.6f} mm", "width": f"{width / 3:.6f} mm"}
    return {**content, "runner": {**found, **runner}}
