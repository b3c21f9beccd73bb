"""sewing-notes.txt: what to know at the machine that is there, as plain text for one printed page.

The sheet is written from what the report says under ``sewing``; what it says of a further file that
a project asks for comes from the job that made it. A hand that guides the cloth is told of the
guide bar; one that loads and unloads, of the places to take up again and of what to count.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from quiltpath.documents.report import sewing_report
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.language import message, say, say_known, speaking
from quiltpath.result.sewing_facts import NEAR_THE_TRIM_MM
from quiltpath.result.values import Result
from quiltpath.runner.layer_names import layer_words
from quiltpath.runner.places import lean_words, lie_beside_blocks, place_on, places_in_words
from quiltpath.units import Measures, count, inch_fraction

CAUTION = message(
    "Stop the machine before hands go near the needle, and take pins out before you"
    " reach them. The machine's own manual comes before this sheet."
)

BAR_RULE = message(
    "With a guide bar these lines need no marks. Mark the one nearest the middle of the"
    " runner and sew it first, then line after line outwards in place of the numbers on"
    " the drawing: the bar to the left of the needle on the line sewn last, the smaller"
    " side of the runner in the throat. Turn the work once, for the other half."
)

LEANS = 0.25
"""Share of the stitching that pulls one way from which a shift of the edges is told."""

WIDTH = 88

MOST_COUNTED = 60
"""Lines of one place that a person counts without losing her place; our own judgement."""

ReportEntry = Mapping[str, Any]


def sewing_notes(result: Result, further: Iterable[tuple[str, list[str]]] = ()) -> str:
    """The sheet; ``further`` are headings with their lines, of files that a project asks for."""
    with speaking(result.project.instructions.language):
        return _notes(result, further)


def _notes(result: Result, further: Iterable[tuple[str, list[str]]]) -> str:
    sewing, title = sewing_report(result.sewing), result.project.title
    words = Measures(result.project.handout_units)
    parts = [say("SEWING NOTES: {title}", title=title), wrap_paragraph(f"! {say_known(CAUTION)}")]
    loads = result.project.machine.profile is not None
    for heading, lines in (
        (say("ONE-LINE CROSSHATCH"), _one_line(sewing["one_line"])),
        (say("SEAMS"), _seams(sewing["seams"])),
        (say("SQUARENESS"), _balance(sewing["skew"], words)),
        (say("HOW IT WILL LIE"), _lying(result.distortion.told(words))),
        (say("GUIDE BAR"), [] if loads else _guide_bar(result.runner, sewing["guide_bar"])),
        (say("AFTER A BREAK"), _checkpoints(result, sewing["checkpoints"], words)),
        (say("TO COUNT BEFORE UNLOADING"), _to_count(sewing["to_count"]) if loads else []),
        *further,
    ):
        if lines:
            parts.append("\n".join([heading, *lines]))
    return "\n\n".join(parts) + "\n"


def _one_line(layers: Sequence[Mapping[str, Any]]) -> list[str]:
    lines = []
    for one in layers:
        lines.append(
            wrap_paragraph(
                say(
                    "{layer}: one line and one start do the work of {lines}. Its"
                    " rows lie {gap} apart. Baste firmly: it is not sewn from the centre"
                    " outwards.{turns}",
                    layer=layer_words(one["layer"]),
                    lines=one["replaces_lines"],
                    gap=_mm(one["gap_mm"]),
                    turns=_turns(one["turns_inside_mm"]),
                )
            )
        )
    return lines


def _turns(inside_mm: float | None) -> str:
    if inside_mm is None:
        return say(" Motifs or edges cut it open, so it takes more starts than one.")
    if inside_mm > NEAR_THE_TRIM_MM:
        return say(
            " It turns {inside} inside the finished edge: stop with the needle down and pivot.",
            inside=_mm(inside_mm),
        )
    return say(
        " It turns {inside} inside the finished edge: stop with the needle down, pivot,"
        " and trim outside the turns.",
        inside=_mm(inside_mm),
    )


def _seams(layers: Sequence[Mapping[str, Any]]) -> list[str]:
    """Of layers that pass close by a seam, where another spacing would mend it."""
    return [
        wrap_paragraph(
            say(
                "{layer}: {times} a line passes close beside a seam. To have lines meet the seams,"
                " or fall halfway between them, write {line}.",
                layer=layer_words(layer["layer"]),
                times=_times(len(layer["near_misses"])),
                line=layer["best_fit"]["project"],
            )
        )
        for layer in layers
        if layer["near_misses"] and layer["best_fit"] and layer["best_fit"]["good"]
    ]


def _times(count: int) -> str:
    return say("once") if count == 1 else say("{count} times", count=count)


def _balance(skew: Mapping[str, Any], words: Measures) -> list[str]:
    """Only where the piece will be seen to lean."""
    shift = abs(skew["end_shift_mm"])
    if abs(skew["share"]) <= LEANS or shift < 1.0:
        return []
    text = say(
        "More of the stitching leans one way than the other: the upper edge may shift"
        " along the lower one by about {shift}. Square up by both diagonals after"
        " quilting.",
        shift=words.cut(shift),
    )
    if skew["partner_mm"] > 0:
        text += say(" As many lines that rise to the other side would even it out.")
    return [wrap_paragraph(text)]


def _lying(told: str) -> list[str]:
    """Where a ruler would find it."""
    return (
        [wrap_paragraph(f"{told} {say('That is an estimate: measure before you trim.')}")]
        if told
        else []
    )


def _guide_bar(runner: Runner, families: Sequence[Mapping[str, Any]]) -> list[str]:
    """One line for all regions with the same lines."""
    together: dict[tuple[str, str], list[Mapping[str, Any]]] = {}
    for family in families:
        settings = sorted({_mm(s["setting_mm"]) for s in family["steps"] if s["bar"]})
        if settings:
            words = say(" or ").join(settings[:3]) + (
                say(" and others") if len(settings) > 3 else ""
            )
            key = (
                say(
                    "{layer}, lines {lean}",
                    layer=layer_words(family["layer"]),
                    lean=lean_words(family["angle_deg"]),
                ),
                words,
            )
            together.setdefault(key, []).append(family)
    lines = [_bar_line(runner, *key, members) for key, members in together.items()]
    return [wrap_paragraph(say_known(BAR_RULE)), *lines] if lines else []


def _bar_line(
    runner: Runner, name: str, settings: str, members: Sequence[Mapping[str, Any]]
) -> str:
    regions = [str(member["region"]) for member in members]
    rows = sum(member["rows"] for member in members)
    told = say("{rows} lines, bar at {settings}.", rows=rows, settings=settings)
    if regions == ["runner"]:
        return wrap_paragraph(f"{name}: {told}")
    places = places_in_words(runner, regions)
    if not lie_beside_blocks(runner, regions):
        places = say("in {places}", places=places)
    return wrap_paragraph(f"{name}, {places}: {told}")


def _checkpoints(result: Result, places: Sequence[ReportEntry], words: Measures) -> list[str]:
    """Where to take up again; place by place for a machine that loads its parts."""
    by_part: dict[str, list[ReportEntry]] = {}
    for place in places:
        by_part.setdefault(place.get("part", ""), []).append(place)
    parts = {part: own for part, own in by_part.items() if len(own) > 1}
    if not parts:
        return []
    last = list(parts)[-1]
    which = (
        say("c1 to c{last} on the guide", last=len(parts[""])) if "" in parts else say("see below")
    )
    option = f" --part {last}" if last else ""
    lines = [
        wrap_paragraph(
            say(
                "By hand: begin 3/8 to 3/4 in (10 to 20 mm) before the place where you"
                " stopped, in the old stitches. From a file: begin at the last checkpoint"
                " that was passed ({which}); 'quiltpath resume{option}' writes that file.",
                which=which,
                option=option,
            )
        )
    ]
    if result.project.machine.profile is None:
        return lines
    for part, own in parts.items():
        number = list(by_part).index(part) + 1
        lines += (
            [
                say(
                    "  {part}, on the guide {number}-c1 to {number}-c{own}",
                    part=part,
                    number=number,
                    own=len(own),
                )
            ]
            if part
            else []
        )
        lines += [
            wrap_paragraph(
                f"c{one['number']:<4}{place_on(result.runner, tuple(one['at_mm']), words)}"
            )
            for one in own
        ]
    return lines


def _to_count(places: Sequence[ReportEntry]) -> list[str]:
    """Boxes to tick: a missing line is found while the piece can still be sewn."""
    told = [_counted_place(place["place"]) for place in places]
    width = max(map(len, told), default=0)
    lines = [
        f"  [ ] {name:<{width}}  {_lines_to_count(place['lines'])}"
        for name, place in zip(told, places, strict=True)
    ]
    if all(place["lines"] <= MOST_COUNTED for place in places):
        return lines
    beside = say(
        "Where there are too many lines to count, lay placement.pdf beside the piece and look along"
        " every row for a gap that the drawing does not have."
    )
    return [wrap_paragraph(beside), *lines]


def _lines_to_count(lines: int) -> str:
    """In a column of two digits; of more, that nobody will count them."""
    if lines > MOST_COUNTED:
        return say("too many to count")
    return f"{' ' * (2 - len(str(lines)))}{count(lines, 'line')}"


def _counted_place(name: str) -> str:
    """A block or a part by its name, a section of a runner without blocks by its number."""
    section = re.fullmatch(r"section (\d+) from the left", name)
    return say("section {number} from the left", number=int(section[1])) if section else name


def _mm(mm: float) -> str:
    """Inches with tenths of a millimetre: what a bar is set to."""
    return say("{inches} ({mm:.1f} mm)", inches=inch_fraction(mm, 16), mm=mm)


def wrap_paragraph(text: str) -> str:
    """A paragraph, its further lines set in a little more."""
    return textwrap.fill(text, WIDTH, initial_indent="  ", subsequent_indent="    ")


def bullet_points(lines: Sequence[str]) -> list[str]:
    """One point a line."""
    return [wrap_paragraph(f"- {line}") for line in lines]
