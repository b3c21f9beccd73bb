"""LOADING.txt: what to check, in order, before a machine sews a file for the first time."""

from __future__ import annotations

from collections.abc import Sequence

from quiltpath.machine import MachineKind
from quiltpath.machine.part_facts import PartFacts
from quiltpath.machine.part_plan import SHIFT_MM, TURN_DEG
from quiltpath.result.machine_parts import MachineParts
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.units import MM_PER_INCH, both_units

CAUTIONS = (
    "The machine's own manual comes before this sheet.",
    "Trace the outline first, with the needle up, and watch that nothing is in the way.",
    "Keep hands, hair, sleeves and tools clear of the moving head and the needle.",
    "Stay with the machine while it sews. Stop it before hands go near the needle.",
    "Take every pin out of the area first. Wear eye protection where the manual asks for it.",
)

TURNED = "turned a quarter to the right, its right end towards you"

CLAMPING = {
    MachineKind.HOOP: (
        "Hoop the layers flat and evenly tight, and do not stretch them.",
        "Let the needle down by hand on both alignment crosses before sewing. Move or turn the"
        " design at the machine until both meet.",
        "Between hoopings leave the cloth marked: each pair of crosses is used again.",
    ),
    MachineKind.LONGARM: (
        "Load the runner sideways: its length lies along the rails.",
        "The files named trace hold the edge of the flat top alone: run them with the needle up.",
        "The head must reach the whole depth of the pass. Move it to all four corners by hand"
        " with the needle up.",
        "After rolling on, bring the head to both alignment crosses before the next pass.",
    ),
    MachineKind.GANTRY: (
        "Clamp the layers flat on the bed, clear of the head's whole way.",
        "The files named trace hold the edge of the flat top alone: run them with the needle up.",
        "Set the zero point at the lower left corner of the design, as the head sees it.",
        "Check that the program's needle words are your machine's own.",
    ),
}

CHECKS = (
    "The size on the machine's screen is the size listed for the file. If it is 25.4 times or"
    " 1/25.4 of it, the units were read wrongly: stop.",
    "The first point is where the list says. If left and right or top and bottom are swapped, the"
    " drawing was mirrored: stop.",
    "Thread, bobbin and needle are ready. Sew the file's first minute on a scrap of the same"
    " layers.",
)


def loading_text(title: str, machine: MachineParts) -> str:
    """The text of the sheet, lines ended by line feeds, no longer than a printed page is wide."""
    profile = machine.profile
    lines = [f"LOADING: {title}", f"For: {profile.title}"]
    lines += [f"All sizes are {FLAT_WORDS}.", "", "CAUTIONS"]
    lines += [f"  ! {caution}" for caution in CAUTIONS]
    lines += ["", "CLAMPING"] + [f"  - {step}" for step in CLAMPING[profile.kind]]
    lines += ["", "CHECK BEFORE THE FIRST STITCH"]
    lines += [f"  {number}. {check}" for number, check in enumerate(CHECKS, start=1)]
    lines += [
        f"  4. The first run is no faster than {profile.first_speed:.0f} stitches a minute;"
        f" after that {profile.speed:.0f}.",
        "",
    ]
    for part, fact in zip(machine.parts, machine.facts, strict=True):
        lines += _part_lines(part.name, part.field.turned, fact, profile.kind)
    if len(machine.parts) > 1:
        stitches = sum(fact.stitches for fact in machine.facts)
        minutes = sum(fact.sewing_min for fact in machine.facts)
        lines += [f"IN ALL: {stitches:,} stitches, about {minutes:.0f} min of sewing.", ""]
    lines += _join_lines(machine)
    return "\n".join(_wrapped(lines)) + "\n"


def _part_lines(name: str, turned: bool, fact: PartFacts, kind: MachineKind) -> list[str]:
    turn = way_round(turned)
    zero = [] if kind is MachineKind.HOOP else [_from_corner(fact)]
    return [
        name.upper(),
        f"  The screen must show {screen_size(fact)}.",
        f"  Runner: {turn}.",
        f"  Start: {from_centre(fact.start_mm)}. End: {from_centre(fact.end_mm)}.",
        *zero,
        f"  {fact.stitches:,} stitches in {fact.starts_words}, about"
        f" {fact.sewing_min:.0f} min of sewing.",
        f"  Needle thread {fact.needle_m:.1f} m; bobbin {fact.bobbin_m:.1f} m,"
        f" {fact.bobbin_share:.0%} of a full one.",
        "",
    ]


def screen_size(fact: PartFacts) -> str:
    """What the machine must show, in both units."""
    return (
        f"{fact.width_mm:.1f} x {fact.height_mm:.1f} mm"
        f" ({fact.width_mm / MM_PER_INCH:.2f} x {fact.height_mm / MM_PER_INCH:.2f} in)"
    )


def way_round(turned: bool) -> str:
    """How the runner lies in the machine."""
    return TURNED if turned else "as it lies in the guide"


def from_centre(point: tuple[float, float]) -> str:
    """A place as seen from the middle of the design, in mm."""
    x, y = point
    across = f"{abs(x):.1f} mm {'right' if x >= 0 else 'left'}"
    return f"{across} and {abs(y):.1f} mm {'above' if y >= 0 else 'below'} the middle"


def _from_corner(fact: PartFacts) -> str:
    """Where path files start: they count from the lower left corner of what is sewn."""
    x, y = (fact.width_mm / 2 + fact.start_mm[0], fact.height_mm / 2 + fact.start_mm[1])
    return f"  Path files count from the lower left corner: they begin at X {x:.1f} Y {y:.1f}."


def _join_lines(machine: MachineParts) -> list[str]:
    worst = machine.worst
    if worst is None:
        return []
    x, y = worst.at_mm
    return [
        "JOINS",
        f"  {len(machine.cuts)} cuts in lines. Work that lies {SHIFT_MM:g} mm and {TURN_DEG:g}"
        f" degrees off would show by up to {both_units(worst.offset_mm, 16)}, at {x:.0f} mm along"
        f" and {y:.0f} mm across, between parts {worst.parts[0]} and {worst.parts[1]}.",
    ]


def _wrapped(lines: Sequence[str], width: int = 92) -> list[str]:
    import textwrap

    out: list[str] = []
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()))
        out += textwrap.wrap(line, width, subsequent_indent=f"{indent}  ") or [""]
    return out
