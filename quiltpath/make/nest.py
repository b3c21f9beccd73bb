"""``nest``: several runners quilted on one backing in one load of the frame."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from quiltpath.errors import InputError
from quiltpath.make.compute import compute
from quiltpath.make.folder import REPORT_NAME, only_own_set, write_set
from quiltpath.make.output_file import OutputFile
from quiltpath.materials.nesting import Nested, nest
from quiltpath.output import pdf, svg
from quiltpath.output.nest_picture import nest_picture
from quiltpath.project import load
from quiltpath.project.also_section import NestSection
from quiltpath.result import Result
from quiltpath.units import both_units, parse_length

KIND = "nest"


def load_and_nest(
    files: Sequence[Path], width: str, length: str | None, apart: str, turns: bool, folder: Path
) -> tuple[Nested, tuple[OutputFile, ...]]:
    """The layout of the projects in ``files`` on a backing of ``width``, put into ``folder``.

    Raises :class:`InputError`, also where the layout is longer than ``length``.
    """
    only_own_set(folder, KIND)
    results = [compute(load(file)) for file in files]
    runners = [
        (r.project.title, r.cutting.top.cut_length_mm, r.cutting.top.cut_width_mm) for r in results
    ]
    edge = max(result.project.backing.extra for result in results)
    nested = nest(
        runners, _mm("--width", width), apart_mm=_mm("--apart", apart), edge_mm=edge, turns=turns
    )
    _check_length(nested, None if length is None else _mm("--length", length))
    drawn = nest_files(nested)
    report = {KIND: nest_told(nested), "files": [file.entry() for file in drawn]}
    text = json.dumps(report, indent=2, ensure_ascii=False) + "\n"
    made = (*drawn, OutputFile(REPORT_NAME, text.encode("utf-8"), "report"))
    write_set(made, folder)
    return nested, made


def nest_copies(result: Result, asked: NestSection) -> Nested:
    """Copies of one runner on a backing. Raises :class:`InputError` where it is too wide."""
    top = result.cutting.top
    runners = [(result.project.title, top.cut_length_mm, top.cut_width_mm)] * asked.copies
    edge = result.project.backing.extra
    return nest(runners, asked.width, apart_mm=asked.apart, edge_mm=edge, turns=asked.turns)


def _mm(option: str, text: str) -> float:
    try:
        mm = parse_length(text)
    except ValueError as error:
        raise InputError("nest", option, str(error), 'write it as "108 in"') from None
    if mm <= 0:
        raise InputError("nest", option, f"{text} is not above 0", 'write it as "108 in"')
    return mm


def _check_length(nested: Nested, there_mm: float | None) -> None:
    needed = nested.backing_mm[1]
    if there_mm is not None and needed > there_mm + 1e-6:
        raise InputError(
            "nest",
            "--length",
            f"they take {both_units(needed)}, there is {both_units(there_mm)}",
            "leave one out, or join the backing",
        )


def nest_files(nested: Nested) -> tuple[OutputFile, ...]:
    """The picture on paper and as vectors."""
    drawing = nest_picture("One load", nested)
    return (
        OutputFile("nest.svg", svg.render(drawing), KIND),
        OutputFile("nest.pdf", pdf.render(drawing), KIND),
    )


def nest_told(nested: Nested) -> dict[str, Any]:
    """The places for other programs."""
    return {
        "backing_mm": [round(mm, 2) for mm in nested.backing_mm],
        "at_least_mm": round(nested.bound_mm, 2),
        "is_least": nested.is_least,
        "waste_share": round(nested.waste_share, 4),
        "runners": [
            {"name": name, "box_mm": [round(mm, 2) for mm in box], "turned": turned}
            for (name, box), turned in zip(nested.places, nested.turned, strict=True)
        ],
    }


def in_words(nested: Nested) -> list[tuple[str, str]]:
    """One row a runner, and what they take together."""
    rows = [
        (
            name,
            f"from {both_units(box[1])} along and {both_units(box[0])} across"
            + (", turned" if turned else ""),
        )
        for (name, box), turned in zip(nested.places, nested.turned, strict=True)
    ]
    across, along = nested.backing_mm
    size = f"{both_units(along)} of {both_units(across)} wide, {nested.waste_share:.0%} of it left"
    size += "; nothing shorter would do" if nested.is_least else ""
    return [*rows, ("backing", size)]
