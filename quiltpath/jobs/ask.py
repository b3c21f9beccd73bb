"""``ask``: what is at hand is given, and which spacing and which size it is enough for is found.

Every answer is the whole computing done again at each spacing or size tried; thread and time only
fall as lines lie further apart and only grow with the runner, so halving the range finds the last
that fits. Even division can make a step the other way by a little: the neighbours of what was
found are tried as well. For the longest runner its length is first doubled until it is too much; a
runner with a grid grows by blocks.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from quiltpath.checks import is_too_wide
from quiltpath.documents.notes import ReportEntry, bullet_points, wrap_paragraph
from quiltpath.errors import InputError
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.one_job import Design, Job, JobOutput
from quiltpath.jobs.summary import table
from quiltpath.jobs.variants import block_step_mm, may_change, resize, size_of, with_spacing
from quiltpath.language import message, say
from quiltpath.materials import Cloth
from quiltpath.materials.binding import strip_length_needed
from quiltpath.materials.binding_plan import strips_for
from quiltpath.materials.shopping import cloths_for
from quiltpath.patterns.kinds import fill_spacing
from quiltpath.project import Project
from quiltpath.project.document_sections import AskSection
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import MM_PER_INCH, both_units, inch_fraction, millimetres, say_in_units

WIDEST_STEPS = 64
"""Spacings from 1/8 in to 8 in, or from 3 mm to 192 mm."""

METRIC_STEP_MM = 3.0

CORNERS = 4
AT_HAND = "at-hand.txt"


@dataclass(frozen=True)
class AtHand:
    """What there is: thread for needle and bobbin together, time at the machine, binding cloth."""

    thread_m: float | None = None
    minutes: float | None = None
    binding_mm: float | None = None

    def suffices(self, result: Result) -> bool:
        """Whether thread and time are enough for the quilting of ``result``."""
        thread = result.thread.needle_m + result.thread.bobbin_m
        enough = self.thread_m is None or thread <= self.thread_m + 1e-9
        return enough and (
            self.minutes is None or result.sewing_time.sewing_min <= self.minutes + 1e-9
        )


@dataclass(frozen=True)
class Longest:
    """The longest runner; ``blocks`` along it where it has a grid."""

    length_mm: float
    blocks: int | None = None

    @property
    def words(self) -> str:
        """Its length, and its blocks."""
        length = both_units(self.length_mm)
        if self.blocks is None:
            return length
        return say("{length}, {blocks} blocks along", length=length, blocks=self.blocks)


def longest(project: Project, suffices: Callable[[Result], bool]) -> Longest | None:
    """The longest runner of this design that ``suffices``; None where not even the shortest does.

    For a project whose size may change by itself. Lengths go in steps of 1/8 in, or by blocks.
    """
    first, step = _range(project)

    @cache
    def made(number: int) -> Result | None:
        """None where the design cannot be so short: its ends or its motifs do not fit."""
        try:
            return compute(resize(project, first + number * step, size_of(project)[1]))
        except InputError:
            return None

    def fits(number: int) -> bool:
        result = made(number)
        return result is None or suffices(result)

    most = int((LONGEST_STEPS * STEP_MM - first) / step)
    top = max(1, round((size_of(project)[0] - first) / step))
    while top < most and fits(top):
        top *= 2
    found = greatest(fits, 0, min(top, most))
    result = None if found is None else made(found)
    if result is None:
        return None
    grid = result.project.grid
    return Longest(result.states.in_use.length_mm, grid.along if grid else None)


@dataclass(frozen=True)
class Answers:
    """What was found; None where nothing fits, or where it was not asked.

    ``spacing``      the closest spacing whose quilting thread and time allow
    ``result``       the runner at that spacing
    ``longest``      the longest runner that thread and time allow at the project's spacing
    ``bound_length_mm``  the longest rectangle of this width that the cloth binds
    """

    at_hand: AtHand
    spacing: str | None
    result: Result | None
    longest: Longest | None
    bound_length_mm: float | None


def ask(designs: Sequence[Design], asked: AskSection) -> JobOutput:
    """The answers as a sheet of text. Raises :class:`InputError` for a project without fill."""
    project = designs[0].project
    found = answers(project, at_hand_of(asked))
    rows = _said(in_words(project, found), project)
    given = table(_said(amounts_in_words(found.at_hand), project))
    text = f"WITH WHAT IS AT HAND: {project.title}\n\n{given}\n\n{table(rows)}\n"
    file = OutputFile(AT_HAND, text.encode("utf-8"), "what is at hand")
    figures = {**report_answers(found), "words": [list(row) for row in rows]}
    return JobOutput(
        project.title, (file,), figures, rows, lambda: _said(in_words(project, found), project)
    )


def _said(rows: list[tuple[str, str]], project: Project) -> list[tuple[str, str]]:
    """The rows in the units of the papers."""
    return [(name, say_in_units(words, project.handout_units)) for name, words in rows]


def at_hand_of(asked: AskSection) -> AtHand:
    """The amounts that a project file gives."""
    return AtHand(asked.thread, asked.time, asked.binding)


def answers(project: Project, given: AtHand) -> Answers:
    """All that ``given`` is enough for. Raises :class:`InputError` for a project without fill."""
    sewing = given.thread_m is not None or given.minutes is not None
    spacing, result = _spacing(project, given) if sewing else (None, None)
    return Answers(
        given,
        spacing,
        result,
        longest(project, given.suffices) if sewing and may_change(project) else None,
        _bound_length(project, given.binding_mm) if given.binding_mm is not None else None,
    )


def _spacing(project: Project, given: AtHand) -> tuple[str | None, Result | None]:
    @cache
    def at(steps: int) -> Result:
        return compute(with_spacing(project, _words(project, steps)).project)

    found = least(lambda steps: given.suffices(at(steps)), 1, WIDEST_STEPS)
    return (None, None) if found is None else (_words(project, found), at(found))


def _words(project: Project, steps: int) -> str:
    """The spacing as the project would write it: "about" where its fill says so."""
    found = (fill_spacing(layer) for layer in project.quilting)
    first = next((spacing for spacing in found if spacing is not None), None)
    about = "about " if first is not None and first.about else ""
    if project.handout_units == "metric":
        return about + millimetres(steps * METRIC_STEP_MM)
    return about + inch_fraction(steps * STEP_MM)


def _bound_length(project: Project, cloth_mm: float) -> float | None:
    """For a rectangle as wide as the runner; every strip is cut from a cloth of this length."""
    binding = project.binding
    width = compute(project).states.quilted.width_mm
    usable = max(cloth.usable_mm for cloth in cloths_for(project.cloth, "binding"))
    cloth = Cloth("binding", usable, cloth_mm)

    def fits(steps: int) -> bool:
        edge = 2 * (steps * STEP_MM + width)
        needed = strip_length_needed(edge, CORNERS, binding).total_mm
        strips, bias = strips_for(needed, binding, [cloth])
        return strips.enough if bias is None else bias[0] <= cloth_mm + 1e-9

    found = greatest(fits, 8, LONGEST_STEPS)
    return None if found is None else found * STEP_MM


def amounts_in_words(given: AtHand) -> list[tuple[str, str]]:
    """What is at hand, as rows of a table."""
    rows = []
    if given.thread_m is not None:
        rows.append(("thread", f"{given.thread_m:g} m, needle and bobbin together"))
    if given.minutes is not None:
        rows.append(("time", f"{given.minutes:g} min at the machine"))
    if given.binding_mm is not None:
        rows.append(("binding cloth", both_units(given.binding_mm)))
    return rows


def report_answers(found: Answers) -> dict[str, Any]:
    """The answers for other programs; lengths in mm, thread in m, time in minutes."""
    given, result, long = found.at_hand, found.result, found.longest
    closest = result and {
        "thread_m": round(result.thread.needle_m + result.thread.bobbin_m, 3),
        "bobbins": result.thread.bobbins,
        "sewing_min": round(result.sewing_time.sewing_min, 2),
    }
    return {
        "thread_m": given.thread_m,
        "time_min": given.minutes,
        "binding_mm": given.binding_mm,
        "closest_spacing": found.spacing,
        "closest": closest,
        "longest_mm": None if long is None else round(long.length_mm, 3),
        "longest_blocks": None if long is None else long.blocks,
        "longest_bound_mm": found.bound_length_mm and round(found.bound_length_mm, 3),
    }


def in_words(project: Project, found: Answers) -> list[tuple[str, str]]:
    """The answers as rows of a table."""
    given, rows = found.at_hand, []
    if given.thread_m is not None or given.minutes is not None:
        rows += _spacing_rows(found)
        if may_change(project):
            length = found.longest.words if found.longest else say("none")
            rows.append((say("longest runner, lines as far apart as now"), length))
    if given.binding_mm is not None:
        rows.append((say("longest runner that the cloth binds"), _length(found.bound_length_mm)))
    return rows


def _spacing_rows(found: Answers) -> list[tuple[str, str]]:
    result = found.result
    if result is None:
        widest = both_units(WIDEST_STEPS * STEP_MM)
        return [(say("closest lines"), say("not even {widest}", widest=widest))]
    thread = result.thread
    limit = ""
    if result.gap_limit_mm is not None:
        fails = is_too_wide(result.gaps, result.gap_limit_mm)
        limit = say("; the wadding fails") if fails else say("; the wadding holds")
    both = thread.needle_m + thread.bobbin_m
    spools = say(
        "{bobbins} of {metres:g} m", bobbins=thread.bobbins, metres=thread.setting.bobbin_m
    )
    minutes = say("{minutes:.0f} min at the machine", minutes=result.sewing_time.sewing_min)
    return [
        (say("closest lines"), f"{found.spacing}{limit}"),
        (f"  {say('thread')}", say("{metres:.1f} m, needle and bobbin together", metres=both)),
        (f"  {say('bobbins')}", spools),
        (f"  {say('time')}", minutes),
    ]


def _length(mm: float | None) -> str:
    return say("none") if mm is None else both_units(mm)


STEP_MM = MM_PER_INCH / 8
LONGEST_STEPS = 8 * 360
"""Runners up to 10 yards."""


def least(fits: Callable[[int], bool], low: int, high: int) -> int | None:
    """The least whole number from which on ``fits`` is true; None where it is not at ``high``."""
    if not fits(high):
        return None
    bottom = low - 1
    while high - bottom > 1:
        middle = (bottom + high) // 2
        bottom, high = (bottom, middle) if fits(middle) else (middle, high)
    while high > low and fits(high - 1):
        high -= 1
    return high


def greatest(fits: Callable[[int], bool], low: int, high: int) -> int | None:
    """The greatest whole number up to which ``fits`` is true; None where it is not at ``low``."""
    found = least(lambda number: fits(-number), -high, -low)
    return None if found is None else -found


def _range(project: Project) -> tuple[float, float]:
    """The shortest length tried and the step: one block, or about a square in steps of 1/8 in."""
    if project.grid is not None:
        return block_step_mm(project)
    return STEP_MM * math.ceil(size_of(project)[1] / STEP_MM - 1e-9), STEP_MM


def _notes(told: ReportEntry) -> list[str]:
    given = [
        say("{metres:g} m of thread", metres=told["thread_m"]) if told["thread_m"] else "",
        say("{minutes:g} minutes", minutes=told["time_min"]) if told["time_min"] else "",
        say("{length} of binding cloth", length=both_units(told["binding_mm"]))
        if told["binding_mm"]
        else "",
    ]
    amounts = ", ".join(part for part in given if part)
    head = say("{amounts}: also in {file}.", amounts=amounts, file=AT_HAND)
    return [
        wrap_paragraph(head),
        *bullet_points([f"{name.strip()}: {text}." for name, text in told["words"]]),
    ]


ASK = Job("ask", ask, message("WITH WHAT IS AT HAND"), _notes)
