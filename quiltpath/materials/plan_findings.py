"""What a cutting plan has to say about itself: codes, places, remedies."""

from __future__ import annotations

from collections.abc import Iterator

from quiltpath.findings import Finding
from quiltpath.materials.cutting_plan import CuttingPlan
from quiltpath.runner.skew import SLIP_MM
from quiltpath.units import both_units, count, millimetres

OUT_OF_SQUARE_DEG = 0.2
"""About 1 mm over a runner's width: less is the tape's own error."""


def plan_findings(plan: CuttingPlan) -> tuple[Finding, ...]:
    """Everything a person should know before buying and cutting."""
    return (
        *_fit(plan),
        *_panels(plan),
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
        yield Finding(
            "drop-unusual",
            f"the runner hangs down {both_units(fit.drop_mm)} at each end",
            "6 to 12 in is usual, less where somebody sits",
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
        yield Finding(
            "panels-too-short",
            f"the panels give {both_units(best.length_mm)}, a drop of {both_units(best.drop_mm)},"
            f" not the {both_units(best.wanted_length_mm)} that are wanted",
            "take the shorter drop, or add a border at both ends",
        )


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
