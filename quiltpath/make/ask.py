"""``ask``: what is at hand is given, and which spacing and which size it is enough for is found.

Every answer is the whole computing done again at each spacing or size tried; thread and time only
fall as lines lie further apart and only grow with the runner, so halving the range finds the last
that fits. Even division can make a step the other way by a little: the neighbours of what was
found are tried as well.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from quiltpath.errors import InputError
from quiltpath.make.compute import compute
from quiltpath.make.cutting import materials_setting
from quiltpath.make.summary import table
from quiltpath.make.variants import is_fill, respaced
from quiltpath.materials.binding import strip_length_needed
from quiltpath.materials.binding_plan import strips_for
from quiltpath.materials.cloth import Cloth
from quiltpath.project import Project, load
from quiltpath.result import Result
from quiltpath.units import MM_PER_INCH, both_units, inch_fraction, parse_length

STEP_MM = MM_PER_INCH / 8
WIDEST_STEPS = 64
"""Spacings from 1/8 in to 8 in."""

LONGEST_STEPS = 8 * 360
"""Runners up to 10 yards."""

CORNERS = 4


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
        return enough and (self.minutes is None or result.time.sewing_min <= self.minutes + 1e-9)


@dataclass(frozen=True)
class Answers:
    """What was found; None where nothing fits, or where it was not asked.

    ``spacing``      the closest spacing whose quilting thread and time allow
    ``result``       the runner at that spacing
    ``sewn_length_mm``   the longest runner that thread and time allow at the project's spacing
    ``bound_length_mm``  the longest runner of this width that the cloth binds
    """

    at_hand: AtHand
    spacing: str | None
    result: Result | None
    sewn_length_mm: float | None
    bound_length_mm: float | None


def load_and_ask(file: Path, thread: str | None, time: str | None, binding: str | None) -> str:
    """The answers for the project in ``file`` as a table; raises :class:`InputError`."""
    project = load(file)
    given = at_hand(project, thread, time, binding)
    return f"{project.title}\n{table(in_words(project, answers(project, given)))}"


def at_hand(project: Project, thread: str | None, time: str | None, binding: str | None) -> AtHand:
    """The amounts as a person writes them; raises :class:`InputError`."""
    if thread is None and time is None and binding is None:
        raise InputError("ask", "", "nothing was given", "give --thread, --time or --binding")
    return AtHand(
        _amount("--thread", thread, lambda text: parse_length(text) / 1000, '"90 m"'),
        _amount("--time", time, minutes_of, '"2 h" or "90 min"'),
        _amount("--binding", binding, lambda text: parse_length(text, project.units), '"1/2 yd"'),
    )


def _amount(
    option: str, text: str | None, read: Callable[[str], float], example: str
) -> float | None:
    if text is None:
        return None
    try:
        amount = read(text)
    except ValueError as error:
        raise InputError("ask", option, str(error), f"write it as {example}") from None
    if amount <= 0:
        raise InputError("ask", option, f"{text} is not above 0", f"write it as {example}")
    return amount


_TIME = re.compile(r"^\s*(?:(\d+(?:\.\d+)?)\s*h)?\s*(?:(\d+(?:\.\d+)?)\s*min)?\s*$")


def minutes_of(text: str) -> float:
    """Minutes of ``"2 h"``, ``"1.5 h"``, ``"90 min"`` or ``"1 h 30 min"``."""
    match = _TIME.match(text)
    if match is None or not any(match.groups()):
        raise ValueError(f"{text!r} is not a time")
    hours, minutes = (float(part or 0) for part in match.groups())
    return 60 * hours + minutes


def answers(project: Project, given: AtHand) -> Answers:
    """All that ``given`` is enough for. Raises :class:`InputError` for a project without fill."""
    sewing = given.thread_m is not None or given.minutes is not None
    spacing, result = _spacing(project, given) if sewing else (None, None)
    return Answers(
        given,
        spacing,
        result,
        _sewn_length(project, given) if sewing and may_grow(project) else None,
        _bound_length(project, given.binding_mm) if given.binding_mm is not None else None,
    )


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


def _spacing(project: Project, given: AtHand) -> tuple[str | None, Result | None]:
    @cache
    def at(steps: int) -> Result:
        return compute(respaced(project, _words(project, steps)).project)

    found = least(lambda steps: given.suffices(at(steps)), 1, WIDEST_STEPS)
    return (None, None) if found is None else (_words(project, found), at(found))


def _words(project: Project, steps: int) -> str:
    """The spacing as the project would write it: "about" where its fill says so."""
    fill = [layer for layer in project.quilting if is_fill(layer) and hasattr(layer, "spacing")]
    about = "about " if fill and fill[0].spacing.about else ""
    return about + inch_fraction(steps * STEP_MM)


def may_grow(project: Project) -> bool:
    """True for a runner whose length may change by itself: no grid, no motifs, a plain shape."""
    return project.grid is None and not project.motif and project.runner.length is not None


def _sewn_length(project: Project, given: AtHand) -> float | None:
    @cache
    def fits(steps: int) -> bool:
        runner = project.runner.model_copy(update={"length": steps * STEP_MM})
        return given.suffices(compute(project.replaced(runner=runner)))

    shortest = max(8, int((project.runner.width or 0) / STEP_MM))
    found = greatest(fits, shortest, LONGEST_STEPS)
    return None if found is None else found * STEP_MM


def _bound_length(project: Project, cloth_mm: float) -> float | None:
    """For a rectangle as wide as the runner; every strip is cut from a cloth of this length."""
    setting = materials_setting(project)
    width = compute(project).runner.width_mm
    usable = max(cloth.usable_mm for cloth in setting.binding_cloths)
    cloth = Cloth("binding", usable, cloth_mm)

    def fits(steps: int) -> bool:
        edge = 2 * (steps * STEP_MM + width)
        needed = strip_length_needed(edge, CORNERS, setting.binding).total_mm
        strips, bias = strips_for(needed, setting.binding, [cloth])
        return strips.enough if bias is None else bias[0] <= cloth_mm + 1e-9

    found = greatest(fits, 8, LONGEST_STEPS)
    return None if found is None else found * STEP_MM


def in_words(project: Project, found: Answers) -> list[tuple[str, str]]:
    """The answers as rows of a table."""
    given, rows = found.at_hand, []
    if given.thread_m is not None or given.minutes is not None:
        rows += _spacing_rows(found)
        if may_grow(project):
            rows.append(("longest at this spacing", _length(found.sewn_length_mm)))
    if given.binding_mm is not None:
        rows.append(("longest it binds", _length(found.bound_length_mm)))
    return rows


def _spacing_rows(found: Answers) -> list[tuple[str, str]]:
    result = found.result
    if result is None:
        return [("closest spacing", "not even 8 in")]
    thread = result.thread
    holds = "fails" if any(finding.fails for finding in result.findings) else "holds"
    limit = f"; the wadding {holds}" if result.gap_limit_mm is not None else ""
    return [
        ("closest spacing", f"{found.spacing}{limit}"),
        ("  thread", f"{thread.needle_m + thread.bobbin_m:.1f} m, needle and bobbin together"),
        ("  bobbins", f"{thread.bobbins} of {thread.setting.bobbin_m:g} m"),
        ("  time", f"{result.time.sewing_min:.0f} min at the machine"),
    ]


def _length(mm: float | None) -> str:
    return "none" if mm is None else both_units(mm)
