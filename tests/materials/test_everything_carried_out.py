"""Everything that is cut and sewn, carried out on paper: top, layers, binding.

The runner that comes out is the one that was asked for: no blank cloth inside, the parts as wide
as they are drawn, joins out of the mitres, nothing bought short. All samples, and a few hundred
projects of every kind that a plan is made for, without any quilting drawn.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import RegionKind, Runner
from quiltpath.materials import cutting_plan
from quiltpath.materials.border_strips import BorderJoins
from quiltpath.materials.cutting_plan import CuttingPlan
from quiltpath.materials.piecing import Piecing
from quiltpath.project import Project, load, parse
from quiltpath.result.computing import compute, draw_flat
from quiltpath.result.reuse import Reuse
from quiltpath.stitching.thread_and_time import ThreadUse
from tests.materials.binder import laid_round, to_nearest
from tests.materials.cloth_cutter import cut_out, nothing_is_bought_short
from tests.materials.cutter import carried_out, panel
from tests.materials.piecer import TENTH_MM, Work, joined_border, of_kind, sewn_top

SAMPLES = Path(__file__).parents[2] / "samples"
IN = 25.4


@cache
def so_much_thread() -> ThreadUse:
    """So much thread as any runner takes: what is bought of it is tried elsewhere."""
    return compute(parse("[runner]\nlength = '20 in'\nwidth = '10 in'")).thread


def plan_of(project: Project, thread: ThreadUse) -> tuple[Runner, CuttingPlan]:
    drawn = draw_flat(project, Reuse())
    return drawn.runner, cutting_plan(project, drawn.runner, thread, drawn.states)


def carry_out(project: Project, runner: Runner, plan: CuttingPlan) -> None:
    """Cut, piece, layer, square up, bind; every assertion is one that cloth would make."""
    pieces = cut_out(plan)
    nothing_is_bought_short(plan, project.materials.allowance)
    if plan.panel_choices and not plan.panel_choices[0].fault:
        is_the_joined_top(project, runner, plan)
    if plan.pieced is not None:
        is_the_flat_top(sewn_of(plan, pieces), runner, plan)
    for layer, extra in (
        (plan.layers.backing, project.backing),
        (plan.layers.wadding, project.wadding),
    ):
        ends = extra.extra if extra.extra_ends is None else extra.extra_ends
        is_as_large(layer, plan, ends, extra.extra)
    is_bound(plan, pieces)


def sewn_of(plan: CuttingPlan, pieces: Counter[str]) -> Work:
    """The top of what one copy may take of the pieces that were cut."""
    assert plan.pieced is not None
    there = {}
    for cut in plan.top_cuts:
        name = f"{cut.kind.value} {cut.letter}"
        joins = plan.border_joins.get(cut.letter)
        if joins is None:
            assert pieces[name] >= cut.count * plan.copies, name
            there[cut.letter] = pieces[name] // plan.copies
            continue
        assert pieces[name] == joins.strips
        there[cut.letter] = cut_from_the_joined(joins, cut.long_mm)
        assert there[cut.letter] >= cut.count * plan.copies
    return sewn_top(plan.pieced, there)


def cut_from_the_joined(joins: BorderJoins, long_mm: float) -> int:
    """How many strips of that length come off the joined one, each join clear of their ends."""
    long, places = joined_border(joins)
    ends: list[float] = []
    for start in joins.starts_mm:
        assert start >= (ends[-1] if ends else 0.0) - 1e-6
        ends.append(start + long_mm)
        for at in places:
            gap = min(abs(at - start), abs(at - ends[-1]))
            assert gap >= joins.width_mm / 2 or not joins.keeps_clear, "a join lies in a corner"
    assert ends[-1] <= long + 1e-6
    return len(ends)


def is_the_joined_top(project: Project, runner: Runner, plan: CuttingPlan) -> None:
    """Panels as bought, cut and joined: no blank cloth, blocks where they are drawn."""
    own, choice, grid = project.panel[0], plan.panel_choices[0], project.grid
    blocks, sashing = own.blocks_along or (), own.sashing
    if not blocks and own.end_strip and grid is not None and grid.block_size is not None:
        blocks = (grid.block_size[0],) * (grid.along // choice.panels_used)
        sashing = grid.sashing
    whole = panel(own.size, own.print_mm, own.end_strip, blocks, sashing)
    names = ("panel",) if choice.panels_used == 1 else ("left panel", "right panel")
    top = carried_out(plan.panel_steps, dict.fromkeys(names, whole))
    assert (top.length, top.width) == pytest.approx(plan.states.flat.pair, abs=1e-3)
    assert top.blank == pytest.approx(0.0, abs=1e-3)
    if blocks and runner.outline.area > 0.999 * top.length * top.width:
        drawn = sorted((b.shape.bounds[0], b.shape.bounds[2]) for b in runner.blocks)
        lie = [(low - top.x[0], high - top.x[0]) for low, high in top.blocks]
        assert np.array(lie) == pytest.approx(np.array(drawn), abs=1e-3)


def is_the_flat_top(work: Work, runner: Runner, plan: CuttingPlan) -> None:
    """Raw edge to raw edge the flat size; each kind of part lies where it is drawn."""
    near = TENTH_MM * (len(work.kinds) ** 0.5 + 2)
    assert plan.pieced is not None
    assert (work.long, work.high) == pytest.approx(plan.pieced.size_mm, abs=near)
    assert plan.pieced.size_mm == pytest.approx(plan.states.flat.pair, abs=1e-3)
    cloth = shapely.union_all(work.shapes, grid_size=0.01)
    bare = runner.outline.buffer(-near).difference(cloth.buffer(near))
    assert bare.area < 1.0, f"{bare.area:.0f} mm2 of the runner are bare"
    for kind in RegionKind:
        drawn = shapely.union_all([r.shape for r in runner.regions if r.kind is kind])
        seen = shapely.intersection(
            shapely.union_all(of_kind(work, kind), grid_size=0.01), runner.outline
        )
        off = drawn.symmetric_difference(seen).buffer(-near).area
        assert off < 1.0, f"{kind.value}: {off:.0f} mm2 lie elsewhere"


def is_as_large(layer: Piecing, plan: CuttingPlan, ends: float, sides: float) -> None:
    """Sewn or butted at its seams: the top and what it is to be larger, all round."""
    extents = [
        piece.on_length_mm if (layer.axis == 0) == layer.grain_along_runner else piece.on_width_mm
        for piece in layer.pieces
    ]
    joined = sum(extents) - 2 * layer.seam_allowance_mm * (len(extents) - 1)
    size = [0.0, 0.0]
    size[layer.axis] = joined
    across = {
        round(p.on_width_mm if (layer.axis == 0) == layer.grain_along_runner else p.on_length_mm, 6)
        for p in layer.pieces
    }
    assert max(across) - min(across) < 1e-3, "the pieces' edges are not level"
    size[1 - layer.axis] = min(across)
    flat = plan.states.flat
    assert size[0] >= flat.length_mm + 2 * ends - 1e-3
    assert size[1] >= flat.width_mm + 2 * sides - 1e-3


def is_bound(plan: CuttingPlan, pieces: Counter[str]) -> None:
    """The strip goes round, its end laps the start with some to hold, joins keep off mitres."""
    binding, setting = plan.binding, plan.binding.setting
    quilted = np.ptp(plan.edge.ring, axis=0)
    assert tuple(quilted) == pytest.approx(plan.states.quilted.pair, abs=1e-6)
    if binding.bias_mm is None:
        names = [f"binding {n}" for n in range(1, len(binding.strips.lengths_mm) + 1)]
        assert all(pieces[name] >= plan.copies for name in names)
    else:
        along, across = binding.bias_mm
        assert along * across / setting.width_mm >= binding.needed.total_mm - 1e-6
        assert pieces["binding, for bias"] == plan.copies
    if not binding.strips.enough:
        return
    laid, edge = laid_round(binding), binding.edge
    assert laid.over >= min(binding.spare_mm, setting.open / 2) - 1e-6, "the end does not reach"
    corners = tuple(c.along_mm for c in edge.corners)
    if not binding.keeps_clear:
        return
    # The plan spreads the folds of all mitres over the edge; each is where its corner is.
    folds = len(corners) * setting.mitre / 2
    for at in laid.joins:
        assert to_nearest(at, corners, edge.length_mm) >= setting.clear - folds - 1e-6
    for at in (laid.start, *laid.joins):
        near = to_nearest(at, binding.panel_joins_mm, edge.length_mm)
        assert near >= setting.clear - folds - 1e-6
    assert to_nearest(laid.start, corners, edge.length_mm) >= setting.open / 2 - 1e-6


@pytest.mark.parametrize(
    "name", sorted(p.name for p in SAMPLES.iterdir() if (p / "runner.toml").exists())
)
def test_all_samples(name: str) -> None:
    project = load(SAMPLES / name / "runner.toml").replaced(quilting=())
    carry_out(project, *plan_of(project, so_much_thread()))


SHAPES = ("rectangle", "oval", "pointed", "clipped", "rounded", "hexagon", "octagon", "scalloped")


@st.composite
def pieced(draw: st.DrawFn) -> str:
    """A pieced runner: a grid with or without sashing, cornerstones, border; any cloth."""
    along, across = draw(st.integers(1, 6)), draw(st.integers(1, 3))
    sashing = draw(st.sampled_from([0, 20, 38.1, 50]))
    outer = draw(st.sampled_from([0, 25, 40])) if sashing else 0
    border = draw(st.sampled_from([0, 50, 63.5, 76.2]))
    there = {"border": border, "outer sashing": outer, "sashing": sashing and along * across > 1}
    parts = [part for part, is_there in there.items() if is_there]
    # What takes the difference on both axes: a strip between blocks needs two of them each way.
    if sashing and min(along, across) == 1:
        parts = [part for part in parts if part != "sashing"]
    grows = draw(st.sampled_from(["", "blocks", *parts]))
    length = draw(st.integers(700, 2600))
    rest = length - 2 * (border + outer) - (along - 1) * sashing
    listed = along % 2 == 0 and rest > 0 and draw(st.booleans())
    blocks = [rest / along * share for share in (1.2, 0.8)] if listed else []
    cloths = draw(
        st.lists(st.sampled_from(["block", "sashing", "border", "backing", "binding"]), unique=True)
    )
    text = [
        'units = "mm"', "[runner]", f"length = {length}",
        f"width = {draw(st.integers(320, 620))}", f'shape = "{draw(st.sampled_from(SHAPES))}"',
        f'size_is = "{draw(st.sampled_from(["washed", "quilted", "flat"]))}"',
        "[grid]", *([f"blocks_along = {blocks}"] if blocks else []),
        f"along = {along}", f"across = {across}", f"sashing = {sashing}",
        f"outer_sashing = {outer}", f"border = {border}",
        f"cornerstones = {str(draw(st.booleans())).lower()}",
        "[top]", 'made = "pieced"', f"seam = {draw(st.sampled_from([6, 6.35, 10]))}",
        f'border_corners = "{draw(st.sampled_from(["butted", "mitred"]))}"',
        *([f'grows = "{grows}"'] if grows else []),
        "[quilted]", f"taken_up = {draw(st.sampled_from([0.0, 0.01, 0.024, 0.05]))}",
        f"wash = {draw(st.sampled_from([0.0, 0.02]))}",
        "[materials]", f"copies = {draw(st.integers(1, 4))}",
        f"allowance = {draw(st.sampled_from([0, 50]))}",
        "[binding]", f'fold = "{draw(st.sampled_from(["double", "single"]))}"',
        f'cut = "{draw(st.sampled_from(["straight", "straight", "bias"]))}"',
        f'first_to = "{draw(st.sampled_from(["front", "back"]))}"',
    ]  # fmt: skip
    for use in cloths:
        length = draw(st.sampled_from([None, 300, 900, 2500]))
        text += ["[[cloth]]", f'name = "{use} cloth"', f'use = "{use}"',
                 f"width = {draw(st.sampled_from([900, 1016, 1070, 2700]))}",
                 f'direction = "{draw(st.sampled_from(["along", "none"]))}"',
                 *([] if length is None else [f"length = {length}"])]  # fmt: skip
    return "\n".join(text)


@settings(max_examples=80)
@given(text=pieced())
def test_any_pieced_runner(text: str) -> None:
    thread = so_much_thread()
    project = parse(text)
    try:
        runner, plan = plan_of(project, thread)
    except InputError as error:
        assert "take more than" in str(error) or "wide" in str(error)
        return
    carry_out(project, runner, plan)


@st.composite
def panelled(draw: st.DrawFn) -> str:
    """A runner of one printed panel or of two, joined in the sashing or edge to edge."""
    count, copies = draw(st.sampled_from([(1, 1), (2, 1), (2, 2), (4, 2)]))
    blocks = draw(st.lists(st.integers(90, 320), min_size=1, max_size=4))
    strip, sashing = draw(st.integers(30, 60)), draw(st.integers(16, 60))
    edge = draw(st.booleans())
    print_mm = sum(blocks) + (len(blocks) - 1) * sashing + 2 * strip
    rim, high = draw(st.sampled_from([0, 12, 25.4])), draw(st.integers(240, 400))
    joined = count // copies > 1
    most = 2 * (print_mm - strip + sashing / 2) if joined else print_mm
    length = draw(st.floats(0.6, 1.05)) * most
    shapes = SHAPES if length > 2 * high else SHAPES[:1]
    text = [
        'units = "mm"', "[runner]", f"length = {length}",
        f"width = {high - draw(st.integers(0, 30))}",
        f'shape = "{draw(st.sampled_from(shapes))}"',
        "[[panel]]", f"size = [{print_mm + 2 * rim}, {high + 2 * rim}]", f"rim = {rim}",
        f"count = {count}",
        *([] if edge else [f"end_strip = {strip}", f"blocks_along = {blocks}",
                           f"sashing = {sashing}"]),
        "[quilted]", f"taken_up = {draw(st.sampled_from([0.0, 0.01, 0.024, 0.05]))}",
        "[materials]", f"copies = {copies}",
        "[binding]", f'fold = "{draw(st.sampled_from(["double", "single"]))}"',
        f'first_to = "{draw(st.sampled_from(["front", "back"]))}"',
    ]  # fmt: skip
    return "\n".join(text)


@settings(max_examples=80)
@given(text=panelled())
def test_any_runner_of_panels(text: str) -> None:
    project = parse(text)
    carry_out(project, *plan_of(project, so_much_thread()))
