"""``compare``: several designs computed side by side on the cores there are, one sheet of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from quiltpath.documents.all_previews import small_page
from quiltpath.drawing import pdf, png
from quiltpath.drawing.page_model import reword_drawing
from quiltpath.errors import InputError, QuiltpathError
from quiltpath.geometry.runner_shapes import patches
from quiltpath.jobs import comparison_sheet
from quiltpath.jobs.comparison_page import as_html
from quiltpath.jobs.comparison_sheet import Option, OptionPictures
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.near_view import from_middle, near_picture, part_at, part_to_look_at
from quiltpath.jobs.one_job import Design, Job, JobOutput, make_room, put_into
from quiltpath.jobs.summary import comparison_rows
from quiltpath.jobs.variants import MOST_VARIANTS, Variant, variants
from quiltpath.jobs.varying_layer import filled_area, layer_figures, varying_by_default
from quiltpath.patterns.kinds import is_fill
from quiltpath.patterns.one_line import OneLineCrosshatchLayer, one_lines
from quiltpath.project import Project
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.routing.guide_bar import parallel_rows
from quiltpath.runner import build
from quiltpath.units import parse_length, say_in_units
from quiltpath.worker_pool import map_in_parallel

SHEET_PX_PER_MM = 4.0
PALETTE = 256
NEAR_PX_PER_MM = 5.0
MM2_PER_M2 = 1e6

Compared = tuple[Option, OptionPictures]
"""The figures of a design and how it looks."""


@dataclass(frozen=True)
class CompareWishes:
    """Designs to set side by side, as a person writes them; ``wish`` is the best of spacings.

    ``sizes`` are tables and place mats, ``waddings`` kinds of wadding.
    """

    spacings: Sequence[str] = ()
    patterns: Sequence[str] = ()
    stitches: Sequence[str] = ()
    sizes: Sequence[str] = ()
    wish: str | None = None
    policies: Sequence[str] = ()
    waddings: Sequence[str] = ()


def side_by_side(designs: Sequence[Design], asked: CompareWishes) -> JobOutput:
    """The designs that are wished for, with what stands out; raises :class:`InputError`."""
    project = designs[0].project
    chosen = variants(
        project,
        asked.spacings,
        asked.patterns,
        asked.stitches,
        asked.sizes,
        asked.policies,
        asked.waddings,
    )
    return _compared(project, chosen, _wish_mm(project, asked.wish))


def _compared(project: Project, chosen: Sequence[Variant], wish_mm: float | None) -> JobOutput:
    made = list(map_in_parallel(compute_option, _at_one_place(project, chosen)))
    options = mark_options(chosen, [option for option, _ in made], wish_mm)
    title = f"{project.title}: side by side"
    files = sheet_files("compare", title, project, options, made)
    told = {"options": [option.label for option in options]}
    return JobOutput(title, files, told, comparison_rows(options, project.handout_units))


COMPARE = Job("compare", side_by_side, earlier="options")


def compare_and_name(named: Sequence[tuple[str, Project]], folder: Path) -> dict[str, str]:
    """Designs side by side, each under its name; what lies in ``folder`` afterwards, by its name.

    Raises :class:`InputError` for too many of them, and for a folder that holds another set.
    """
    if len(named) > MOST_VARIANTS:
        fault = f"{len(named)} designs are too many to compare by eye"
        raise InputError("compare", "", fault, f"keep {MOST_VARIANTS} of them at most")
    make_room(COMPARE, folder)
    output = _compared(named[0][1], [Variant(name, project) for name, project in named], None)
    return {file.name: file.kind for file in put_into(COMPARE, output, folder)}


def _wish_mm(project: Project, wish: str | None) -> float | None:
    if wish is None:
        return None
    try:
        return parse_length(wish, project.units)
    except ValueError as error:
        raise InputError("compare", "--wish", str(error), 'write it as "1 in"') from None


def _at_one_place(project: Project, chosen: Sequence[Variant]) -> list[Variant]:
    """Those on the project's own runner are all seen at the place that suits the first of them."""
    same = [one.project.runner == project.runner for one in chosen]
    if not any(same):
        return list(chosen)
    first = chosen[same.index(True)]
    try:
        runner = build(first.project)
        layers = first.varies or varying_by_default(first.project)
        part = part_to_look_at(runner, filled_area(first.project, runner, layers))
    except InputError:  # told again, with its label, where it is computed
        return list(chosen)
    at = from_middle(runner, part)
    return [replace(one, near_mm=at) if own else one for one, own in zip(chosen, same, strict=True)]


def compute_option(variant: Variant) -> Compared:
    """One design: its figures and its picture."""
    try:
        result = compute(variant.project)
    except QuiltpathError as error:
        raise InputError("compare", variant.label, str(error)) from None
    return picture_option(variant.label, result, variant.varies, variant.near_mm)


def picture_option(
    label: str,
    result: Result,
    varies: Sequence[int] = (),
    near_mm: tuple[float, float] | None = None,
) -> Compared:
    """The figures and the pictures of a design that is computed.

    ``varies`` are the layers that differ from the others, the fill layers where none is named;
    ``near_mm`` is where it is seen from nearby, from the runner's middle.
    """
    varies, runner = varies or varying_by_default(result.project), result.runner
    if near_mm is None:
        part = part_to_look_at(runner, filled_area(result.project, runner, varies))
    else:
        part = part_at(runner, near_mm)
    crop = near_picture(result, replace(part, px_per_mm=NEAR_PX_PER_MM))
    shown = OptionPictures(small_page(result), crop, part.high_x - part.low_x)
    return option_of(label, result, varies), shown


def option_of(label: str, result: Result, varies: Sequence[int]) -> Option:
    """The figures of one design, and of the layers that vary."""
    stitches, thread, minutes = result.stitches, result.thread, result.sewing_time.sewing_min
    density = stitches.stitched_mm / 1000 / (float(result.runner.outline.area) / MM2_PER_M2)
    return Option(
        label=label,
        lines=len(result.lines),
        runs=len(result.runs),
        stitches=stitches.stitch_count,
        stitched_m=stitches.stitched_mm / 1000,
        needle_m=thread.needle_m,
        bobbin_m=thread.bobbin_m,
        bobbins=thread.bobbins,
        minutes=minutes,
        widest_gap_mm=result.gaps.widest_mm,
        limit_mm=result.gap_limit_mm,
        density_m_per_m2=density,
        draw_up_percent=100 * result.cutting.quilting_share,
        size_mm=result.states.in_use.pair,
        line_gap_mm=_line_gap_mm(result),
        layer=layer_figures(result, varies),
        cost=_cost(result.project, thread.needle_m + thread.bobbin_m, minutes),
    )


def _line_gap_mm(result: Result) -> float | None:
    """Usual distance of neighbouring parallel lines of the fill, if it has such lines."""
    layers = [index for index, layer in enumerate(result.project.quilting) if is_fill(layer)]
    found = parallel_rows(result.lines, layers, result.runner.outline)
    gaps = np.concatenate([_one_line_gaps(result), *(np.diff(family.row_mm) for family in found)])
    return float(np.median(gaps)) if len(gaps) else None


def _one_line_gaps(result: Result) -> NDArray[np.float64]:
    """The gaps of each crosshatch in one line, one a region."""
    runner = result.runner.even or result.runner
    chosen = [
        one.gap_mm
        for layer in result.project.quilting
        if isinstance(layer, OneLineCrosshatchLayer)
        for _, one in one_lines(layer, patches(runner, layer.region))
    ]
    return np.array(chosen, dtype=np.float64)


def _cost(project: Project, thread_m: float, minutes: float) -> float | None:
    """Thread and time at the project's prices; None where it gives none."""
    prices = project.cost
    if prices.thread_1000_m is None and prices.hour is None:
        return None
    return thread_m / 1000 * (prices.thread_1000_m or 0) + minutes / 60 * (prices.hour or 0)


def mark_options(
    chosen: Sequence[Variant], options: Sequence[Option], wish_mm: float | None
) -> tuple[Option, ...]:
    """The options with the words that make a choice easy."""
    words: list[list[str]] = [[] for _ in options]
    numbers = range(len(options))
    holding = [i for i in numbers if options[i].holds and chosen[i].spacing_mm is not None]
    if holding and options[0].limit_mm is not None:
        widest = max(holding, key=lambda i: (chosen[i].spacing_mm, -i))
        words[widest].append("widest that holds")
    words[min(numbers, key=lambda i: (options[i].minutes, i))].append("quickest")
    spaced = [i for i in numbers if chosen[i].spacing_mm is not None]
    if wish_mm is not None and spaced:
        # Rounded, so that of two equally near ones the first is marked.
        nearest = min(
            spaced, key=lambda i: (round(abs((chosen[i].spacing_mm or 0) - wish_mm), 6), i)
        )
        words[nearest].append("nearest to the wish")
    return tuple(
        replace(option, marks=tuple(said)) for option, said in zip(options, words, strict=True)
    )


def sheet_files(
    stem: str,
    title: str,
    project: Project,
    options: Sequence[Option],
    compared_: Sequence[Compared],
) -> tuple[OutputFile, ...]:
    """The sheet as PDF and picture, the page, and the figures."""
    pictures = [shown for _, shown in compared_]
    currency, units = project.cost.currency, project.handout_units
    drawn = comparison_sheet.sheet(title, options, pictures, currency)
    drawn = reword_drawing(drawn, lambda words: say_in_units(words, units))
    page = as_html(title, options, pictures, currency, units)
    small = png.render(drawn.pages[0], SHEET_PX_PER_MM, colours=PALETTE)
    told = "comparison", None, None, "several"
    return (
        OutputFile(f"{stem}.pdf", pdf.render(drawn), *told),
        OutputFile(f"{stem}.png", small, *told),
        OutputFile(f"{stem}.html", page, *told),
        OutputFile(
            f"{stem}.json", comparison_sheet.as_json(title, options), "comparison", state="several"
        ),
    )
