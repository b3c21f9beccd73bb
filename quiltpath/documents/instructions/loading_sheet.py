"""LOADING.txt: what to check, in order, before a machine sews a file for the first time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.machine import MachineKind
from quiltpath.machine.bobbin_stops import BobbinPlan
from quiltpath.machine.loads import FileFacts, Load
from quiltpath.machine.part_facts import PartFacts
from quiltpath.machine.part_plan import SHIFT_MM, TURN_DEG
from quiltpath.machine.parts import Part
from quiltpath.result.machine_parts import MachineParts, SewingTotals
from quiltpath.runner.places import place_on
from quiltpath.runner.states import FLAT_WORDS
from quiltpath.units import (
    MM_PER_INCH,
    Units,
    both_units,
    count,
    join_with_and,
    say_in_units,
)

CAUTIONS = (
    "The machine's own manual comes before this sheet.",
    "Trace the outline first, with the needle up, and watch that nothing is in the way.",
    "Keep hands, hair, sleeves and tools clear of the moving head and the needle.",
    "Stay with the machine while it sews. Stop it before hands go near the needle.",
    "Take every pin out of the area first. Wear eye protection where the manual asks for it.",
)

AS_DRAWN = "as it is drawn on the marking guide"
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
        "The files named trace go round the edge of the flat top and the box that the"
        " files cover: run them first, with the needle up.",
        "The head must reach the whole depth of the pass. Move it to all four corners by hand"
        " with the needle up.",
        "After rolling on, bring the head to both alignment crosses before the next pass.",
    ),
    MachineKind.GANTRY: (
        "Clamp the layers flat on the bed, clear of the head's whole way.",
        "The files named trace go round the edge of the flat top and the box that the"
        " files cover: run them first, with the needle up.",
        "Set the zero point once for each load, by its check below: sewing, trace and a file to"
        " resume from count from the same zero.",
        "Check that the program's needle words are your machine's own.",
    ),
}

_CROSSWISE = (
    "Load the runner crosswise: its width lies along the rails, its right end towards you.",
)


def clamping(machine: MachineParts) -> tuple[str, ...]:
    """How the work is clamped for this machine, as it lies."""
    steps = CLAMPING[machine.profile.kind]
    if machine.profile.kind is MachineKind.LONGARM and machine.parts[0].field.turned:
        return (*_CROSSWISE, *steps[1:])
    return steps


CHECKS = (
    "The screen must show the size that is listed for the file. If it shows 25.4 times as much or"
    " 1/25.4 of it, inches and millimetres were mixed up: stop.",
    "The file must begin where the list says. If left and right or top and bottom are swapped, it"
    " is mirrored: stop.",
    "Thread, bobbin and needle are ready. Sew the first minute on a scrap of the same layers.",
)


def loading_text(
    title: str,
    machine: MachineParts,
    sewn: SewingTotals,
    runner: Runner,
    files: Mapping[str, Sequence[FileFacts]],
    variants: Mapping[str, Sequence[str]] = MappingProxyType({}),
    units: Units = "both",
) -> str:
    """The text of the sheet, lines ended by line feeds, no longer than a printed page is wide.

    Places are told by the blocks of ``runner``.
    ``files`` has the facts of each part's files by the part's name, and ``variants`` a line for
    each file that lies otherwise.
    """
    profile = machine.profile
    lines = [f"LOADING: {title}", f"For: {profile.title}, with {sewn.foot}"]
    lines += [f"All sizes are {FLAT_WORDS}.", "", "CAUTIONS"]
    lines += [f"  ! {caution}" for caution in CAUTIONS]
    lines += ["", "HOW IT IS DIVIDED"] + [f"  {said}" for said in machine.division_words]
    lines += ["", "CLAMPING"] + [f"  - {step}" for step in clamping(machine)]
    lines += ["", "CHECK BEFORE THE FIRST STITCH"]
    lines += [f"  {number}. {check}" for number, check in enumerate(CHECKS, start=1)]
    lines += [
        f"  4. Sew each file no faster than {profile.first_speed:.0f} stitches a minute the first"
        f" time; after that {profile.speed:.0f}.",
        "",
    ]
    for number, (part, fact, load) in enumerate(
        zip(machine.parts, machine.facts, machine.loads, strict=True)
    ):
        lines += _part_lines(part, fact)
        lines += _bobbin_lines(machine.bobbins[number], runner) if machine.bobbins else []
        lines += _zero_lines(load, profile.kind)
        lines += _thread_ends(files.get(part.name, ()))
        lines += [*variants.get(part.name, ()), ""]
    lines += [f"IN ALL: {all_words(sewn)}", ""]
    lines += _join_lines(machine, runner)
    return "\n".join(_wrap([say_in_units(line, units) for line in lines])) + "\n"


def all_words(sewn: SewingTotals) -> str:
    """Stitches and minutes of all parts: the same on every sheet."""
    apart = [
        f"{sewn.needle_min:.0f} of needle time",
        f"{sewn.hand_min:.0f} by hand" if round(sewn.hand_min) else "",
        f"{sewn.loading_min:.0f} of loading" if round(sewn.loading_min) else "",
    ]
    minutes = join_with_and([words for words in apart if words])
    return f"{sewn.stitches:,} stitches, {sewn.minutes:.0f} minutes at the machine: {minutes}."


def _part_lines(part: Part, fact: PartFacts) -> list[str]:
    turn = way_round(part.field.turned)
    return [
        part.name.upper(),
        f"  The screen must show {screen_size(fact)}.",
        f"  Runner: {turn}.",
        f"  Start: {from_centre(fact.start_mm)}. End: {from_centre(fact.end_mm)}.",
        f"  {fact.stitches:,} stitches in {fact.starts_words}, about"
        f" {fact.sewing_min:.0f} min of needle time.",
        f"  Needle thread {fact.needle_m:.1f} m; bobbin {fact.bobbin_m:.1f} m,"
        f" {fact.bobbin_share:.0%} of a full one.",
    ]


def _bobbin_lines(bobbin: BobbinPlan, runner: Runner) -> list[str]:
    """When a full bobbin goes in: before the part, and where its files halt for one."""
    lines = ["  Put in a full bobbin before this part."] if bobbin.full_before else []
    if bobbin.at_mm:
        places = "; ".join(place_on(runner, at) for at in bobbin.at_mm)
        often = count(len(bobbin.at_mm), "time")
        lines.append(
            f"  Stitch files and G-code halt {often} for a full bobbin:"
            f" {places}. Other path files cannot: stop there yourself. Stop the machine before"
            " hands go near the needle, and sew on over the last few stitches."
        )
    return lines


def _zero_lines(load: Load, kind: MachineKind) -> list[str]:
    """The zero that the files share, the sizes of both, and a check at the machine."""
    check = f"  Check: with the needle over {check_place(load)} {zero_words(load, load.check_mm)}."
    if kind is MachineKind.HOOP:
        return [check] if len(load.crosses) else []
    sewn, traced = (f"{w:.1f} x {h:.1f} mm" for w, h in (load.sewn_size_mm, load.reach_size_mm))
    return [
        f"  The lines cover {sewn}, the trace {traced}, about the same middle.",
        "  Path files count from the lower left corner of the trace, stitch files from the middle.",
        check,
    ]


def check_place(load: Load) -> str:
    """Where the needle is brought to for the check, in words."""
    if len(load.crosses):
        return "cross 1"
    x, y = load.check_on_runner_mm
    return f"the edge {x + 0.0:.1f} mm along and {y + 0.0:.1f} mm across, where the trace begins,"


def zero_words(load: Load, place: Floats) -> str:
    """What the screen reads with the needle over ``place``: x and y of path and stitch files."""
    x, y = (place - load.zero_mm).tolist()
    right, up = (place - load.middle_mm).tolist()
    return (
        f"the screen must read X {x:.1f} Y {y:.1f} with a path file,"
        f" X {right + 0.0:.1f} Y {up + 0.0:.1f} with a stitch file"
    )


def _thread_ends(files: Sequence[FileFacts]) -> list[str]:
    """What each file does at thread ends inside the runner; files that do the same together."""
    ends = max((file.ends for file in files), default=0)
    if not ends:
        return ["  Thread ends: none lie inside the runner."] if files else []
    ways: dict[str, list[str]] = {}
    for file in files:
        ways.setdefault(file.way if file.secured == file.ends else "", []).append(file.name)
    lines = [f"  Thread ends inside the runner: {ends}."]
    for way, names in ways.items():
        done = (
            f"secured by {way}"
            if way
            else "NOT secured by the file: tie off at the machine, or leave tails and bury them"
        )
        lines.append(f"  - {', '.join(names)}: {done}.")
    return lines


def screen_size(fact: PartFacts) -> str:
    """What the machine must show, in both units."""
    return (
        f"{fact.width_mm:.1f} x {fact.height_mm:.1f} mm"
        f" ({fact.width_mm / MM_PER_INCH:.2f} x {fact.height_mm / MM_PER_INCH:.2f} in)"
    )


def way_round(turned: bool) -> str:
    """How the runner lies in the machine."""
    return TURNED if turned else AS_DRAWN


def from_centre(point: tuple[float, float]) -> str:
    """A place as seen from the middle of the design, in mm."""
    x, y = point
    across = f"{abs(x):.1f} mm {'right' if x >= 0 else 'left'}"
    return f"{across} and {abs(y):.1f} mm {'above' if y >= 0 else 'below'} the middle"


def _join_lines(machine: MachineParts, runner: Runner) -> list[str]:
    worst = machine.worst
    if worst is None:
        return []
    between = f"parts {worst.parts[0]} and {worst.parts[1]}"
    return [
        "JOINS",
        f"  {count(len(machine.cuts), 'line')} of quilting cross from one part to the next. Bring"
        f" the needle to the crosses with care: {SHIFT_MM:g} mm and {TURN_DEG:g} degrees off, lines"
        f" would miss each other by up to {both_units(worst.offset_mm, 16)}, most between {between}"
        f" ({place_on(runner, worst.at_mm)}).",
    ]


def _wrap(lines: Sequence[str], width: int = 92) -> list[str]:
    import textwrap

    out: list[str] = []
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()))
        out += textwrap.wrap(line, width, subsequent_indent=f"{indent}  ") or [""]
    return out
