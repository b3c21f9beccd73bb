"""What a cutting plan has to say about itself: codes, places, remedies."""

from __future__ import annotations

from collections.abc import Iterator

from quiltpath.findings import Finding
from quiltpath.materials.cutting_plan import CuttingPlan
from quiltpath.runner.panels import Join, PanelChoice
from quiltpath.runner.skew import SLIP_MM
from quiltpath.runner.states import Size, States
from quiltpath.units import MM_PER_INCH, both_units, count, join_with_and, millimetres

OUT_OF_SQUARE_DEG = 0.2
"""About 1 mm over a runner's width: less is the tape's own error."""


SHORT_MM = 1.0
"""A runner that comes out shorter by less is as long as it was wished."""


OFF_A_MARK_MM = MM_PER_INCH / 4
"""What the ruler's marks may add up to on a pieced top before it is asked about."""

HALF_A_MARK_MM = MM_PER_INCH / 16
"""What they may add up to before it is told at all: nobody measures less with such a ruler."""


def plan_findings(plan: CuttingPlan) -> tuple[Finding, ...]:
    """Everything a person should know before buying and cutting."""
    return (
        *_fit(plan),
        *_panels(plan),
        *_no_parts(plan),
        *_size(plan),
        *_trimmed(plan),
        *_off_square(plan),
        *_seams(plan),
        *_binding(plan),
        *_cloth(plan),
    )


def _fit(plan: CuttingPlan) -> Iterator[Finding]:
    if plan.fit is None:
        return
    fit = plan.fit
    if not fit.drop_is_usual:
        hangs = f"hangs down {both_units(fit.drop_mm)} at each end"
        if fit.drop_mm < 0:
            hangs = f"ends {both_units(-fit.drop_mm)} before the table's edge at each end"
        yield Finding(
            "drop-unusual",
            f"the runner {hangs}",
            "6 to 12 in (150 to 300 mm) is usual, less where somebody sits",
        )
    if not fit.width_is_usual:
        yield Finding(
            "width-unusual",
            f"the runner is {fit.width_share:.0%} of the table's width",
            "a quarter to a third is usual",
        )
    if fit.table.place_mat_mm > 0 and fit.mat_clearance_mm < 0:
        yield Finding(
            "place-mats-overlap",
            f"place mats lie {both_units(-fit.mat_clearance_mm)} over the runner on each side",
            "make the runner narrower by twice that",
        )


def _no_parts(plan: CuttingPlan) -> Iterator[Finding]:
    if plan.has_no_parts:
        yield Finding(
            "top-without-parts",
            "the top is to be cut and sewn, but without [grid] it has no parts: its cloth is"
            " neither bought nor cut",
            "for one piece of cloth write [grid] and along = 1",
        )


def _panels(plan: CuttingPlan) -> Iterator[Finding]:
    if plan.panels_missing:
        yield Finding(
            "panels-too-few",
            f"{plan.copies} are to be made, of a panel each at least:"
            f" {count(plan.panels_missing, 'panel')} short",
            "make fewer, or find more panels",
        )
    if not plan.panel_choices:
        return
    best = plan.panel_choices[0]
    if best.fault:
        yield Finding("panels-do-not-fit", f"no panel at hand can be used: {best.fault}")
    elif not best.reaches:
        used, wished = plan.states.in_use, plan.states.wished
        has_drop = plan.fit is not None and best.drop_mm > 0
        drop = f", a drop of {both_units(best.drop_mm)}" if has_drop else ""
        yield Finding(
            "panels-too-short",
            f"the panels give a flat top of {both_units(best.length_mm)}, not the"
            f" {both_units(best.wanted_length_mm)} that are wanted: the runner comes out"
            f" {both_units(used.length_mm)} long, not {both_units(wished.length_mm)}{drop}",
            _longer(best),
        )


def _longer(best: PanelChoice) -> str:
    """What a top that is too short leaves to choose from, each with what is to be cut."""
    lacks, seam = best.wanted_length_mm - best.length_mm, best.panel.seam_mm
    ways = [
        "take it so",
        f"sew a border of {both_units(lacks / 2)} to both ends, cut"
        f" {both_units(lacks / 2 + seam)} wide",
    ]
    if best.join is not Join.NONE:
        ways.append(
            f"let in a strip of {both_units(lacks)} at the join, cut"
            f" {both_units(lacks + 2 * seam)} wide"
        )
    return f"{', '.join(ways[:-1])}, or {ways[-1]}"


def _size(plan: CuttingPlan) -> Iterator[Finding]:
    """A print that does not stretch and has nothing round it that could make up the difference."""
    states = plan.states
    used, wished = states.in_use, states.wished
    short = [wish - size for wish, size in zip(wished.pair, used.pair, strict=True)]
    if plan.pieced is not None:
        yield from _by_the_ruler(states)
        return
    told = bool(plan.panel_choices) and not plan.panel_choices[0].reaches
    if told or states.used == "flat" or max(short) <= SHORT_MM:
        return
    more = [want - flat for want, flat in zip(states.wanted.pair, states.flat.pair, strict=True)]
    grows = [
        f"{both_units(by / 2)} at each {name}"
        for name, by in zip(("end", "side"), more, strict=True)
        if by > SHORT_MM
    ]
    yield Finding(
        "comes-out-smaller",
        f"the print does not stretch: a flat top of {_by(states.flat)} leaves {_by(used)}, not the"
        f" {_by(wished)} that are wished",
        f"take it so, or give outer_sashing or a border that can grow by {' and '.join(grows)}",
    )


def _by_the_ruler(states: States) -> Iterator[Finding]:
    """Parts of a pieced top are so many marks of a ruler: told where it shows in the whole."""
    comes_to, wished = states.size(states.used), states.wished
    off = [size - wish for size, wish in zip(comes_to.pair, wished.pair, strict=True)]
    most = max(map(abs, off))
    if most <= HALF_A_MARK_MM:
        return
    differs = [
        f"{both_units(abs(by), 16)} {much} than wished"
        for by, much in (
            (off[0], "longer" if off[0] > 0 else "shorter"),
            (off[1], "wider" if off[1] > 0 else "narrower"),
        )
        if abs(by) > HALF_A_MARK_MM
    ]
    leaves = "" if states.used == "flat" else f", which leaves {_by(comes_to, 16)}"
    yield Finding(
        "pieced-by-the-ruler",
        f"blocks cut to a mark of the ruler come to a flat top of {_by(states.flat)}{leaves}:"
        f" {' and '.join(differs)}",
        'take it so, or let a border take the difference: border and grows = "border" under [top]',
        mild=most <= OFF_A_MARK_MM,
    )


def _trimmed(plan: CuttingPlan) -> Iterator[Finding]:
    """Ends that are cut into what is printed, and what that takes of the motifs."""
    ends, sides = plan.trimmed.ends_mm, plan.trimmed.sides_mm
    places = [
        f"{both_units(by)} at each {name}" for by, name in ((ends, "end"), (sides, "side")) if by
    ]
    if not places:
        return
    left = [f"{both_units(mm)} of block {name}" for name, mm in plan.trimmed.left_mm]
    yield Finding(
        "trimmed-into-print",
        f"the top is trimmed into the printed blocks by {' and '.join(places)};"
        f" {join_with_and(left)} is left"
        if left
        else f"the top is trimmed into the printed blocks by {' and '.join(places)}",
        _uncut(plan),
    )
    if plan.trimmed.cut_motifs:
        yield Finding(
            "motif-cut",
            f"trimming cuts into {join_with_and(list(plan.trimmed.cut_motifs))}",
            "lines round what is cut off are left out",
        )


def _uncut(plan: CuttingPlan) -> str:
    """What keeps the end blocks whole, with its figures."""
    ends, states = plan.trimmed.ends_mm, plan.states
    if not ends:
        return "take a wider runner, or a narrower print"
    longer = (states.flat.length_mm + 2 * ends) * states.kept(states.used)[0]
    text = f"take it so, or make the runner {both_units(longer)} long"
    bare = plan.trimmed.pitch_mm / 2 - ends
    if bare > 0:
        text += f", or leave a block out and sew a border of {both_units(bare)} to both ends"
    return text


def _by(size: Size, denominator: int = 8) -> str:
    return f"{both_units(size.length_mm, denominator)} by {both_units(size.width_mm, denominator)}"


def _off_square(plan: CuttingPlan) -> Iterator[Finding]:
    if plan.off_square is None:
        return
    skew, rectangle = plan.off_square.skew, plan.off_square.rectangle
    if skew.misfit_mm > SLIP_MM:
        yield Finding(
            "print-measures-disagree",
            f"sides and diagonals of the print disagree by {millimetres(skew.misfit_mm)}",
            "measure again, the diagonals first",
        )
    if skew.out_of_square_deg > OUT_OF_SQUARE_DEG:
        yield Finding(
            "print-off-square",
            f"the print is {skew.out_of_square_deg:.1f} degrees out of square, its ends shifted by"
            f" {millimetres(abs(skew.end_shift_mm))}; the largest true rectangle is"
            f" {both_units(rectangle.length_mm)} by {both_units(rectangle.width_mm)}",
            "trim to that rectangle; quilting lines follow the print that is there",
        )


def _seams(plan: CuttingPlan) -> Iterator[Finding]:
    for name, layer in (("backing", plan.layers.backing), ("wadding", plan.layers.wadding)):
        if layer.near:
            yield Finding(
                "seam-near-seam",
                f"a {name} join cannot keep clear of {' and '.join(layer.near)}",
                "take a wider cloth, or allow less clearance",
            )


def _binding(plan: CuttingPlan) -> Iterator[Finding]:
    binding = plan.binding
    if not binding.strips.enough:
        yield Finding(
            "binding-too-short",
            f"the cloth at hand does not give {both_units(binding.needed.total_mm)} of binding",
            "add a cloth",
        )
    if binding.needed.total_mm < binding.laid_mm:
        yield Finding(
            "binding-allowance-short",
            f"the allowance leaves {both_units(binding.needed.total_mm)} of strip,"
            f" the edge takes {both_units(binding.laid_mm)}",
            "allow at least a strip width and the mitres",
        )
    if not binding.keeps_clear:
        yield Finding(
            "binding-join-near",
            f"the best start still brings a binding join within {both_units(_least(plan))}"
            " of a corner, the panel join or another join",
            "cut a strip of another length",
            binding.edge.point_at(binding.joins.start_mm),
        )
    if binding.needs_bias:
        yield Finding(
            "binding-needs-bias",
            f"the edge curves to a radius of {both_units(binding.edge.bends.tightest_mm)} and the"
            " binding is cut straight: it will pucker",
            'bind it on the bias: cut = "bias" under [binding]',
        )


def _least(plan: CuttingPlan) -> float:
    return max(0.0, plan.binding.joins.least_mm)


def _cloth(plan: CuttingPlan) -> Iterator[Finding]:
    """Cloth at hand that does not hold all of its pieces; what is held is told with the rest."""
    for layout in plan.layouts:
        if layout.share != "to buy":
            continue
        held = [one for one in plan.layouts if one.cloth.name == layout.cloth.name]
        on_hand = held[0].piece_count if len(held) > 1 else 0
        rest = layout.piece_count
        yield Finding(
            "cloth-too-short",
            f"{layout.cloth.name}: what is at hand holds {on_hand} of"
            f" {count(on_hand + rest, 'piece')}, the rest takes"
            f" {both_units(layout.length_mm)} more",
            "the shopping list has it",
        )
