"""A cutter on paper: pieces of cloth with a print on them, cut and sewn as the steps say.

It knows nothing of runners: only where cloth, print and printed blocks lie, and it goes by lines
that a person can see.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from quiltpath.runner.panel_steps import (
    PanelCut,
    PanelMeasure,
    PanelSeam,
    PanelStep,
    PieceEdge,
    SeenLine,
)

Span = tuple[float, float]
SLIP_MM = 1e-6


@dataclass(frozen=True)
class Printed:
    """Cloth from ``x`` to ``x`` and ``y`` to ``y``; print and blocks in the same measures, mm."""

    x: Span
    y: Span
    print_x: tuple[Span, ...]
    print_y: Span
    blocks: tuple[Span, ...]

    @property
    def length(self) -> float:
        return self.x[1] - self.x[0]

    @property
    def width(self) -> float:
        return self.y[1] - self.y[0]

    @property
    def blank(self) -> float:
        """Length of unprinted cloth that shows along the piece, and the width of what shows."""
        printed = sum(min(b, self.x[1]) - max(a, self.x[0]) for a, b in self.print_x)
        low, high = self.print_y
        return (self.length - printed) + max(0.0, low - self.y[0]) + max(0.0, self.y[1] - high)

    def moved(self, by: float) -> Printed:
        def along(span: Span) -> Span:
            return span[0] + by, span[1] + by

        return replace(
            self,
            x=along(self.x),
            print_x=tuple(along(part) for part in self.print_x),
            blocks=tuple(along(block) for block in self.blocks),
        )

    def clipped(self, x: Span, y: Span) -> Printed:
        """What is left between those edges; whatever is printed beyond them is gone."""
        return replace(
            self, x=x, y=y, print_x=_within(self.print_x, x), blocks=_within(self.blocks, x)
        )


def _within(spans: tuple[Span, ...], x: Span) -> tuple[Span, ...]:
    cut = ((max(a, x[0]), min(b, x[1])) for a, b in spans)
    return tuple((a, b) for a, b in cut if b - a > SLIP_MM)


def panel(
    size: Span, print_mm: Span, end_strip: float, blocks: tuple[float, ...], sashing: float
) -> Printed:
    """A panel as bought: the print in the middle of the cloth, blocks between the end strips."""
    rim_x, rim_y = (size[0] - print_mm[0]) / 2, (size[1] - print_mm[1]) / 2
    at, laid = rim_x + end_strip, []
    for block in blocks:
        laid.append((at, at + block))
        at += block + sashing
    span_x, span_y = (rim_x, size[0] - rim_x), (rim_y, size[1] - rim_y)
    return Printed((0.0, size[0]), (0.0, size[1]), (span_x,), span_y, tuple(laid))


def carried_out(steps: tuple[PanelStep, ...], pieces: dict[str, Printed]) -> Printed:
    """The piece that is there when all steps are done; a step that cannot be done fails."""
    for step in steps:
        if isinstance(step, PanelCut):
            pieces[step.piece] = _cut(pieces[step.piece], step)
        elif isinstance(step, PanelSeam):
            pieces[step.into] = _sewn(pieces.pop(step.left), pieces.pop(step.right), step.seam_mm)
        else:
            assert isinstance(step, PanelMeasure)
            piece = pieces[step.piece]
            assert abs(piece.length - step.length_mm) < 1e-3, (piece.length, step)
            assert abs(piece.width - step.width_mm) < 1e-3, (piece.width, step)
    (top,) = pieces.values()
    return top


def _cut(piece: Printed, cut: PanelCut) -> Printed:
    side = 0 if cut.edge in (PieceEdge.LEFT, PieceEdge.LOWER) else 1
    outwards = -1.0 if side == 0 else 1.0
    at = _seen(piece, cut, side) + outwards * cut.beyond_mm
    edges = [list(piece.x), list(piece.y)]
    axis = 0 if cut.edge.is_end else 1
    falls_off = outwards * (edges[axis][side] - at)
    assert falls_off > 0, f"nothing to cut: {cut}"
    assert abs(falls_off - cut.off_mm) < 1e-3, (falls_off, cut)
    edges[axis][side] = at
    return piece.clipped((edges[0][0], edges[0][1]), (edges[1][0], edges[1][1]))


def _seen(piece: Printed, cut: PanelCut, side: int) -> float:
    """Where the line lies from which the cut is measured; it must still be on the piece."""
    end = cut.edge.is_end
    if cut.line is SeenLine.CLOTH:
        return (piece.x if end else piece.y)[side]
    if cut.line is SeenLine.PRINT:
        return (piece.print_x[-side][side]) if end else piece.print_y[side]
    assert end, "only crosswise lines are printed"
    return piece.blocks[-side][side]


def _sewn(left: Printed, right: Printed, seam: float) -> Printed:
    """Right sides together, edges level: each loses its seam allowance to the back."""
    assert abs(left.width - right.width) < 1e-6, "the edges are not level"
    left = left.clipped((left.x[0], left.x[1] - seam), left.y)
    right = right.clipped((right.x[0] + seam, right.x[1]), right.y)
    right = right.moved(left.x[1] - right.x[0])
    return Printed(
        (left.x[0], right.x[1]),
        left.y,
        (*left.print_x, *right.print_x),
        left.print_y,
        (*left.blocks, *right.blocks),
    )
