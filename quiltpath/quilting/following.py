"""Lines that follow the print: drawn on the even runner, then bent as the cloth lies."""

from __future__ import annotations

from quiltpath.quilting.lines import Remark
from quiltpath.quilting.overrun import run_on
from quiltpath.quilting.strokes import Strokes, clipped, strokes
from quiltpath.runner.print_warp import PrintWarp
from quiltpath.runner.runner import Runner


def bent_to_print(drawn: Strokes, runner: Runner) -> Strokes:
    """Strokes of the even runner as they lie on the cloth, cut to the finished outline.

    Those that end on the even outline are carried on first, so that they reach the true one.
    """
    if runner.print_warp is None or runner.even is None:
        return drawn
    reach = 2 * runner.print_warp.largest_shift_mm + 5.0
    longer = run_on(drawn.geometry, runner.even.outline, reach)
    bent = strokes(runner.print_warp.bent(longer), runner.outline, "")
    return clipped(Strokes(bent.geometry, bent.within, drawn.source))


def told(warp: PrintWarp) -> Remark:
    """The distortion in figures."""
    along, across = (_percent(*range_) for range_ in warp.stretch)
    return Remark(
        "print-followed",
        f"lines follow the print, which lies up to {warp.largest_shift_mm:.1f} mm from even:"
        f" it leans by {warp.skew_deg:+.1f} degrees, distances along change by {along},"
        f" across by {across}",
        'write follow = "ruler" in a layer to keep its lines straight',
    )


def _percent(least: float, greatest: float) -> str:
    return f"{100 * (least - 1):+.1f} to {100 * (greatest - 1):+.1f} percent"
