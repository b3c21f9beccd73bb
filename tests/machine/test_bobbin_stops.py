"""Halts for a full bobbin: in the files, before the thread runs out, where they do not show."""

from __future__ import annotations

import numpy as np
import pytest

from quiltpath.jobs.machine_files import machine_files
from quiltpath.machine.bobbin_stops import add_halts
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.formats.designs import four_runs
from tests.formats.dst_decoder import decode_dst
from tests.formats.gcode_machine import Machine

# A test seam of 1 m that takes 1.5 m of each thread, with no wastage: 10 m on a bobbin with a tenth
# kept back sew 6 m, by hand.
SEWN_MM = 10_000 * 0.9 / 1.5


def _result(more: str = "", layer: str = 'pattern = "one-line-crosshatch"') -> Result:
    text = f"""
        title = "Long table"
        units = "mm"
        runner = {{ length = 900, width = 300 }}
        quilting = [{{ {layer} }}]
        thread = {{ bobbin = 10, reserve = 0.1, bobbin_factor = 1.5, wastage = 0 }}
        stitch = {{ securing = "tails" }}
        [machine]
        profile = "gantry"
        formats = ["dst", "gcode"]
        {more}
    """
    return compute(parse(text))


def _files(result: Result) -> dict[str, bytes]:
    return {file.name.removeprefix("machine/"): file.content for file in machine_files(result)}


def test_a_line_that_takes_several_bobbins_halts_before_each_is_empty() -> None:
    """Seam between two halts, measured in the files by the tests' own decoders."""
    result = _result()
    files = _files(result)
    decoded = decode_dst(files["whole.dst"])
    sewn = np.hypot(*decoded.step.T) / 10 * (np.array(decoded.code) == "stitch")
    halts = np.flatnonzero(np.array(decoded.code) == "colour change")
    assert len(halts) >= 2
    for seam in np.split(sewn, halts):
        assert seam.sum() <= SEWN_MM * 1.005  # the grid of 0.1 mm makes steps a little longer
    machine = Machine(files["whole.gcode"].decode())
    assert len(machine.halts) == len(halts)
    lengths = [np.hypot(*np.diff(np.array(run), axis=0).T).sum() for run in machine.runs]
    assert max(lengths) <= SEWN_MM + 0.1
    assert sum(lengths) == pytest.approx(result.stitches.stitched_mm, rel=0.002)
    for before, after in zip(machine.runs[:-1], machine.runs[1:], strict=True):
        assert before[-1] == pytest.approx(after[0], abs=0.002)
    text = " ".join(files["LOADING.txt"].decode().split())
    assert f"halt {len(halts)} times for a full bobbin" in text
    assert "Put in a full bobbin before this part" in text


def test_without_the_stops_no_file_halts() -> None:
    result = _result("bobbin_stops = false")
    assert "colour change" not in decode_dst(_files(result)["whole.dst"]).code[1:]
    assert result.machine_parts is not None and result.machine_parts.bobbins == ()


def test_halts_lie_in_the_margin_where_a_line_turns_there() -> None:
    """Lengthwise lines joined in the margin: every line end lies beyond the cloth's ends."""
    result = _result(layer='kind = "straight", spacing = 20')
    assert result.machine_parts is not None
    places = [place for plan in result.machine_parts.bobbins for place in plan.at_mm]
    assert places
    for x, _ in places:
        assert x <= 0.01 or x >= result.runner.length_mm - 0.01


def test_a_bobbin_goes_on_into_the_next_part_as_long_as_it_lasts() -> None:
    text = """
        units = "mm"
        runner = { length = 900, width = 300 }
        quilting = [{ kind = "straight", angle = 45, spacing = 60 }]
        thread = { bobbin = 3, reserve = 0, bobbin_factor = 1, wastage = 0 }
        [machine]
        profile = "hoop-200x300"
        formats = ["dst"]
    """
    machine = compute(parse(text)).machine_parts
    assert machine is not None
    left = 0.0
    for part, plan in zip(machine.parts, machine.bobbins, strict=True):
        needed = part.stitches.stitched_mm
        assert plan.full_before == (needed > left + 1e-6) and plan.at_mm == ()
        left = (3000.0 if plan.full_before else left) - needed
        assert left >= -1e-6
    assert 1 < sum(plan.full_before for plan in machine.bobbins) < len(machine.parts)


def test_a_halt_moves_no_needle_point() -> None:
    design = four_runs()
    halted = add_halts(design, np.array([30, 150]))
    assert np.array_equal(halted.needle_holes, design.needle_holes)
    assert halted.stitch_count == design.stitch_count
    assert halted.stitched_mm == design.stitched_mm
