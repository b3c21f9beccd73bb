"""The printed lines of the sashing: where blocks start and end, along and across the panel."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from quiltpath.photo.colours import Lab, lab
from quiltpath.photo.reading import Points
from quiltpath.photo.steps import (
    CLEAR_STEP,
    ColourStep,
    Slopes,
    beside,
    find_steps,
    measure_step,
    profile,
    slopes,
)
from quiltpath.photo.straighten import Flat
from quiltpath.photo.stripes import Stripes, arrange_stripes

UNSURE = 0.45
"""Lines of one direction with less confidence, taken together, are not found at all."""

BESIDE_MM = 30.0
"""How much of the cloth on either side of a line is looked at."""

BY_LIGHT = 0.6
"""L*a*b* that uneven light and noise make of one cloth."""

SEEN = 0.3
"""Confidence of a line that was seen at all."""

EVEN_MM = 0.5
"""Lines that lie as evenly as this are put where evenness has them: their errors average out."""


@dataclass(frozen=True)
class PrintedLine:
    """A line of the print, ``at_mm`` from the left end or the lower edge, with its error."""

    at_mm: float
    error_mm: float
    confidence: float


@dataclass(frozen=True)
class Sashing:
    """Two lines for each block, where it starts and ends; () both ways where none were found.

    A block that reaches the panel's edge starts or ends there.
    """

    along: tuple[PrintedLine, ...]
    across: tuple[PrintedLine, ...]

    @property
    def found(self) -> bool:
        """Whether there are blocks at all."""
        return bool(self.along and self.across)

    @property
    def blocks(self) -> tuple[Block, ...]:
        """Row by row from the lowest, from the left: A1, B1, ..., A2, ..."""
        return tuple(
            Block(f"{_letters(column)}{row + 1}", x0.at_mm, y0.at_mm, x1.at_mm, y1.at_mm)
            for row, (y0, y1) in enumerate(_pairs(self.across))
            for column, (x0, x1) in enumerate(_pairs(self.along))
        )


@dataclass(frozen=True)
class Block:
    """A block between the printed lines, mm from the panel's lower left corner."""

    name: str
    low_x: float
    low_y: float
    high_x: float
    high_y: float

    @property
    def size_mm(self) -> tuple[float, float]:
        """Along and across."""
        return self.high_x - self.low_x, self.high_y - self.low_y

    @property
    def middle_mm(self) -> tuple[float, float]:
        """Of its box."""
        return (self.low_x + self.high_x) / 2, (self.low_y + self.high_y) / 2


def _pairs(lines: tuple[PrintedLine, ...]) -> list[tuple[PrintedLine, PrintedLine]]:
    return list(zip(lines[::2], lines[1::2], strict=True))


def _letters(index: int) -> str:
    """0 as A, 25 as Z, 26 as AA."""
    return (_letters(index // 26 - 1) if index >= 26 else "") + chr(ord("A") + index % 26)


def find_sashing(flat: Flat) -> Sashing:
    """The printed lines of the straightened panel; none where they cannot be told for sure.

    Each direction is looked at again within the blocks that the other one found.
    """
    colours = lab(flat.pixels)
    columns = _slopes(colours, flat)
    # Upside down, so that the distance from row 0 is the distance from the lower edge.
    rows = _slopes(np.ascontiguousarray(colours[::-1].transpose(1, 0, 2)), flat)
    along = _lines(columns, flat.length_mm, [(0.0, flat.width_mm)])
    across = _lines(rows, flat.width_mm, _inside(along))
    top_down = [(flat.width_mm - b, flat.width_mm - a) for a, b in _inside(across)]
    along = _lines(columns, flat.length_mm, top_down)
    across = _lines(rows, flat.width_mm, _inside(along))
    printed = [*_printed(along, flat.length_mm), *_printed(across, flat.width_mm)]
    return Sashing(along, across) if printed else Sashing((), ())


def _printed(lines: tuple[PrintedLine, ...], size_mm: float) -> list[PrintedLine]:
    """Without the panel's own edges."""
    return [line for line in lines if 0 < line.at_mm < size_mm]


def _slopes(colours: Lab, flat: Flat) -> Slopes:
    return slopes(colours, flat.px_per_mm)


def _inside(lines: tuple[PrintedLine, ...]) -> list[tuple[float, float]]:
    """Ranges well inside the blocks, clear of their edges."""
    return [
        (a.at_mm + 0.06 * (b.at_mm - a.at_mm), b.at_mm - 0.06 * (b.at_mm - a.at_mm))
        for a, b in _pairs(lines)
    ]


def _lines(
    seen: Slopes, size_mm: float, ranges: list[tuple[float, float]]
) -> tuple[PrintedLine, ...]:
    """The blocks' edges along one direction, from the bands within ``ranges``."""
    inside = seen.within(ranges)
    if len(inside.at_mm) < 4:
        return ()
    at_mm, steps = find_steps(profile(inside), inside.px_per_mm)
    clear_of_edge = (at_mm > 2.5) & (at_mm < size_mm - 2.5)
    at_mm, steps = at_mm[clear_of_edge], steps[clear_of_edge]
    if not len(at_mm):
        return _whole(size_mm)
    strength = np.clip(steps / float(np.sort(steps)[-2:][0]), 0, 1)
    stripes = arrange_stripes(at_mm, strength, size_mm)
    if stripes is None:
        return _whole(size_mm)
    lines = _at_their_places(inside, stripes, size_mm)
    return lines if _sure(_printed(lines, size_mm)) else _whole(size_mm)


def _sure(printed: list[PrintedLine]) -> bool:
    """Whether three quarters of the lines were seen, and most of them clearly."""
    confidence = np.array([line.confidence for line in printed])
    return bool(
        len(printed) > 1 and (confidence > SEEN).mean() >= 0.75 and confidence.mean() > UNSURE
    )


def _whole(size_mm: float) -> tuple[PrintedLine, ...]:
    """One block from edge to edge: no line was seen."""
    return PrintedLine(0.0, 0.1, 1.0), PrintedLine(size_mm, 0.1, 1.0)


def _at_their_places(seen: Slopes, stripes: Stripes, size_mm: float) -> tuple[PrintedLine, ...]:
    reach = min(4.0, 0.45 * _narrowest(stripes.edges_mm))
    steps = [
        None if min(x, size_mm - x) < 1e-6 else measure_step(seen, float(x), reach)
        for x in stripes.edges_mm
    ]
    even = _even_out(stripes.edges_mm, steps)
    lines = [
        _line(step, float(x), float(y), size_mm)
        for step, x, y in zip(steps, stripes.edges_mm, even, strict=True)
    ]
    return tuple(_lower_confidence(seen, lines, i, size_mm) for i in range(len(lines)))


def _lower_confidence(
    seen: Slopes, lines: list[PrintedLine], i: int, size_mm: float
) -> PrintedLine:
    """A line with less confidence where the cloths on its two sides hardly differ."""
    line = lines[i]
    if not 0 < line.at_mm < size_mm:
        return line
    before = line.at_mm - (lines[i - 1].at_mm if i else 0.0)
    after = (lines[i + 1].at_mm if i + 1 < len(lines) else size_mm) - line.at_mm
    differs = beside(seen, line.at_mm, min(before, BESIDE_MM), min(after, BESIDE_MM))
    clear = np.clip((differs - BY_LIGHT) / (CLEAR_STEP - BY_LIGHT), 0.0, 1.0)
    return replace(line, confidence=float(line.confidence * clear))


def _narrowest(edges: Points) -> float:
    return float(np.diff(edges).min()) if len(edges) > 1 else 8.0


def _line(step: ColourStep | None, predicted: float, even: float, size_mm: float) -> PrintedLine:
    if min(predicted, size_mm - predicted) < 1e-6:
        return PrintedLine(predicted, 0.1, 1.0)
    if step is None:
        return PrintedLine(float(np.clip(even, 0, size_mm)), 3.0, 0.1)
    if abs(step.at_mm - even) <= EVEN_MM:
        return PrintedLine((step.at_mm + even) / 2, step.error_mm, step.clear)
    return PrintedLine(step.at_mm, step.error_mm, step.clear)


def _even_out(edges: Points, steps: list[ColourStep | None]) -> Points:
    """Where the edges lie if blocks and strips are all equal, by least squares over the seen."""
    n = len(edges) // 2
    terms = np.column_stack([np.ones(2 * n), np.repeat(np.arange(n), 2), np.tile([0, 1], n)])
    terms = terms[:, [0, 2]] if n == 1 else terms
    known = np.array([step is not None for step in steps])
    if known.sum() <= terms.shape[1]:
        return edges
    wanted = np.array([step.at_mm for step in steps if step is not None])
    weights = np.linalg.lstsq(terms[known], wanted, rcond=None)[0]
    out: Points = terms @ weights
    return out
