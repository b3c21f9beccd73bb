"""LOADING.txt: what to check, in order, before a machine sews a file for the first time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import message, say, say_known
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
    message("The machine's own manual comes before this sheet."),
    message("Trace the outline first, with the needle up, and watch that nothing is in the way."),
    message("Keep hands, hair, sleeves and tools clear of the moving head and the needle."),
    message("Stay with the machine while it sews. Stop it before hands go near the needle."),
    message(
        "Take every pin out of the area first. Wear eye protection where the manual asks for it."
    ),
)

AS_DRAWN = message("as it is drawn on the marking guide")
TURNED = message("turned a quarter to the right, its right end towards you")

CLAMPING = {
    MachineKind.HOOP: (message("Hoop the layers flat and evenly tight, and do not stretch them."),),
    MachineKind.LONGARM: (
        message("Load the runner sideways: its length lies along the rails."),
        message(
            "The files named trace go round the edge of the flat top and the box that the"
            " files cover: run them first, with the needle up."
        ),
        message(
            "The head must reach the whole depth of the pass. Move it to all four corners"
            " by hand with the needle up."
        ),
    ),
    MachineKind.GANTRY: (
        message("Clamp the layers flat on the bed, clear of the head's whole way."),
        message(
            "The files named trace go round the edge of the flat top and the box that the"
            " files cover: run them first, with the needle up."
        ),
        message(
            "Set the zero point once for each load, by its check below: sewing, trace and a"
            " file to resume from count from the same zero."
        ),
        message("Check that the program's needle words are your machine's own."),
    ),
}

FROM_PART_TO_PART = {
    MachineKind.HOOP: (
        message(
            "Let the needle down by hand on both alignment crosses before sewing. Move or"
            " turn the design at the machine until both meet."
        ),
        message("Between hoopings leave the cloth marked: each pair of crosses is used again."),
    ),
    MachineKind.LONGARM: (
        message("After rolling on, bring the head to both alignment crosses before the next pass."),
    ),
    MachineKind.GANTRY: (),
}
"""What is sewn in one part has no crosses, and is not rolled on."""

_CROSSWISE = (
    message(
        "Load the runner crosswise: its width lies along the rails, its right end towards you."
    ),
)


def clamping(machine: MachineParts) -> tuple[str, ...]:
    """How the work is clamped for this machine, as it lies."""
    steps = CLAMPING[machine.profile.kind]
    if machine.profile.kind is MachineKind.LONGARM and machine.parts[0].field.turned:
        steps = (*_CROSSWISE, *steps[1:])
    further = () if machine.in_one else FROM_PART_TO_PART[machine.profile.kind]
    return tuple(map(say_known, (*steps, *further)))


CHECKS = (
    message(
        "The screen must show the size that is listed for the file. If it shows 25.4 times"
        " as much or 1/25.4 of it, inches and millimetres were mixed up: stop."
    ),
    message(
        "The file must begin where the list says. If left and right or top and bottom are"
        " swapped, it is mirrored: stop."
    ),
    message(
        "Thread, bobbin and needle are ready. Sew the first minute on a scrap of the same layers."
    ),
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
    lines = [
        say("LOADING: {title}", title=title),
        say(
            "For: {machine}, with {foot}",
            machine=say_known(profile.title),
            foot=say_known(sewn.foot),
        ),
    ]
    lines += [say("All sizes are {state}.", state=say_known(FLAT_WORDS)), "", say("CAUTIONS")]
    lines += [f"  ! {say_known(caution)}" for caution in CAUTIONS]
    lines += ["", say("HOW IT IS DIVIDED")] + [f"  {said}" for said in machine.division_words]
    lines += ["", say("CLAMPING")] + [f"  - {step}" for step in clamping(machine)]
    lines += ["", say("CHECK BEFORE THE FIRST STITCH")]
    lines += [f"  {number}. {say_known(check)}" for number, check in enumerate(CHECKS, start=1)]
    lines += [
        say(
            "  4. Sew each file no faster than {first_speed:.0f} stitches a minute the"
            " first time; after that {speed:.0f}.",
            first_speed=profile.first_speed,
            speed=profile.speed,
        ),
        "",
    ]
    for number, (part, fact, load) in enumerate(
        zip(machine.parts, machine.facts, machine.loads, strict=True)
    ):
        lines += _part_lines(part, fact)
        lines += _cross_lines(load)
        lines += _bobbin_lines(machine.bobbins[number], runner) if machine.bobbins else []
        lines += _zero_lines(load, profile.kind)
        lines += _thread_ends(files.get(part.name, ()))
        lines += [*variants.get(part.name, ()), ""]
    lines += [say("IN ALL: {time}", time=all_words(sewn)), ""]
    lines += _join_lines(machine, runner)
    return "\n".join(_wrap([say_in_units(line, units) for line in lines])) + "\n"


def all_words(sewn: SewingTotals) -> str:
    """Stitches and minutes of all parts: the same on every sheet."""
    apart = [
        say("{needle:.0f} of needle time", needle=sewn.needle_min),
        say("{hand:.0f} by hand", hand=sewn.hand_min) if round(sewn.hand_min) else "",
        say("{loading:.0f} of loading", loading=sewn.loading_min)
        if round(sewn.loading_min)
        else "",
    ]
    minutes = join_with_and([words for words in apart if words])
    return say(
        "{stitches:,} stitches, {minutes:.0f} minutes at the machine: {apart}.",
        stitches=sewn.stitches,
        minutes=sewn.minutes,
        apart=minutes,
    )


def _part_lines(part: Part, fact: PartFacts) -> list[str]:
    turn = way_round(part.field.turned)
    return [
        part.name.upper(),
        say("  The screen must show {size}.", size=screen_size(fact)),
        say("  Runner: {turn}.", turn=turn),
        say(
            "  Start: {start}. End: {end}.",
            start=from_centre(fact.start_mm),
            end=from_centre(fact.end_mm),
        ),
        say(
            "  {stitches:,} stitches in {starts}, about {sewing:.0f} min of needle time.",
            stitches=fact.stitches,
            starts=fact.starts_words,
            sewing=max(fact.sewing_min, 1.0),
        ),
        say(
            "  Needle thread {needle:.1f} m; bobbin {bobbin:.1f} m, {bobbin_share:.0%} of a"
            " full one.",
            needle=fact.needle_m,
            bobbin=fact.bobbin_m,
            bobbin_share=fact.bobbin_share,
        ),
    ]


def _cross_lines(load: Load) -> list[str]:
    """Which two crosses are its own."""
    names = load.cross_names
    return [say("  Its crosses: {one} and {other}.", one=names[0], other=names[1])] if names else []


def _bobbin_lines(bobbin: BobbinPlan, runner: Runner) -> list[str]:
    """When a full bobbin goes in: before the part, and where its files halt for one."""
    lines = [say("  Put in a full bobbin before this part.")] if bobbin.full_before else []
    if bobbin.at_mm:
        places = "; ".join(place_on(runner, at) for at in bobbin.at_mm)
        times = len(bobbin.at_mm)
        often = say("once") if times == 1 else say("{count} times", count=times)
        lines.append(
            say(
                "  Stitch files and G-code halt {often} for a full bobbin: {places}. Other"
                " path files cannot: stop there yourself. Stop the machine before hands go"
                " near the needle, and sew on over the last few stitches.",
                often=often,
                places=places,
            )
        )
    return lines


def _zero_lines(load: Load, kind: MachineKind) -> list[str]:
    """The zero that the files share, the sizes of both, and a check at the machine."""
    check = say(
        "  Check: with the needle over {place} {reads}.",
        place=check_place(load),
        reads=zero_words(load, load.check_mm, kind),
    )
    if kind is MachineKind.HOOP:
        return [check] if len(load.crosses) else []
    sewn, traced = (
        say("{width:.1f} x {height:.1f} mm", width=w, height=h)
        for w, h in (load.sewn_size_mm, load.reach_size_mm)
    )
    return [
        say(
            "  The lines cover {sewn}, the trace {traced}, about the same middle.",
            sewn=sewn,
            traced=traced,
        ),
        say(
            "  Path files count from the lower left corner of the trace, stitch files from"
            " the middle."
        ),
        check,
    ]


def check_place(load: Load) -> str:
    """Where the needle is brought to for the check, in words."""
    if len(load.crosses):
        return say("cross {name}", name=load.cross_names[0])
    x, y = load.check_on_runner_mm
    return say(
        "the edge {x:.1f} mm along and {y:.1f} mm across, where the trace begins,",
        x=x + 0.0,
        y=y + 0.0,
    )


def zero_words(load: Load, place: Floats, kind: MachineKind | None = None) -> str:
    """What the screen reads with the needle over ``place``: x and y of path and stitch files, of
    which a hoop machine reads the second alone."""
    x, y = (place - load.zero_mm).tolist()
    right, up = (place - load.middle_mm).tolist()
    if kind is MachineKind.HOOP:
        return say("the screen must read X {right:.1f} Y {up:.1f}", right=right + 0.0, up=up + 0.0)
    return say(
        "the screen must read X {x:.1f} Y {y:.1f} with a path file, X {right:.1f} Y"
        " {up:.1f} with a stitch file",
        x=x,
        y=y,
        right=right + 0.0,
        up=up + 0.0,
    )


def _thread_ends(files: Sequence[FileFacts]) -> list[str]:
    """What each file does at thread ends inside the runner; files that do the same together."""
    ends = max((file.ends for file in files), default=0)
    if not ends:
        return [say("  Thread ends: none lie inside the runner.")] if files else []
    ways: dict[str, list[str]] = {}
    for file in files:
        ways.setdefault(file.way if file.secured == file.ends else "", []).append(file.name)
    lines = [say("  Thread ends inside the runner: {ends}.", ends=ends)]
    for way, names in ways.items():
        done = (
            say("secured by {way}", way=way)
            if way
            else say(
                "NOT secured by the file: tie off at the machine, or leave tails and bury them"
            )
        )
        lines.append(f"  - {', '.join(names)}: {done}.")
    return lines


def screen_size(fact: PartFacts) -> str:
    """What the machine must show, in both units."""
    return say(
        "{width:.1f} x {height:.1f} mm ({inches:.2f} x {high_inches:.2f} in)",
        width=fact.width_mm,
        height=fact.height_mm,
        inches=fact.width_mm / MM_PER_INCH,
        high_inches=fact.height_mm / MM_PER_INCH,
    )


def way_round(turned: bool) -> str:
    """How the runner lies in the machine."""
    return say_known(TURNED if turned else AS_DRAWN)


def from_centre(point: tuple[float, float]) -> str:
    """A place as seen from the middle of the design, in mm."""
    x, y = point
    if y >= 0:
        told = say("{side} and {y:.1f} mm above the middle", side=_sideways(x), y=y)
    else:
        told = say("{side} and {y:.1f} mm below the middle", side=_sideways(x), y=-y)
    return told


def _sideways(x: float) -> str:
    return say("{x:.1f} mm right", x=x) if x >= 0 else say("{x:.1f} mm left", x=-x)


def _join_lines(machine: MachineParts, runner: Runner) -> list[str]:
    worst = machine.worst
    if worst is None:
        return []
    between = say("parts {one} and {other}", one=worst.parts[0], other=worst.parts[1])
    return [
        say("JOINS"),
        say(
            "  {lines} of quilting cross from one part to the next. Bring the needle to the"
            " crosses with care: {shift:g} mm and {turn:g} degrees off, lines would"
            " miss each other by up to {offset}, most between {parts} ({place}).",
            lines=count(len(machine.cuts), "line"),
            shift=SHIFT_MM,
            turn=TURN_DEG,
            offset=both_units(worst.offset_mm, 16),
            parts=between,
            place=place_on(runner, worst.at_mm),
        ),
    ]


def _wrap(lines: Sequence[str], width: int = 92) -> list[str]:
    import textwrap

    out: list[str] = []
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()))
        out += textwrap.wrap(line, width, subsequent_indent=f"{indent}  ") or [""]
    return out
