"""What the command line prints: short tables in plain text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from quiltpath.findings import Rank
from quiltpath.jobs.comparison_sheet import Option
from quiltpath.jobs.folder import LEFT_OUT, OutputFile
from quiltpath.patterns.book import PatternBook, shipped_folder
from quiltpath.result.values import Result
from quiltpath.units import Measures, Units, say_in_units

Row = tuple[str, str]


def summary(result: Result, files: Sequence[OutputFile]) -> str:
    """The result as a table: size, lines, runs, stitches, thread, time, warnings, files."""
    parts = [result.project.title, table(_figures(result))]
    parts += [f"  {_SIGN[finding.rank]} {finding.text}" for finding in result.for_a_person]
    if files:
        parts += ["", table(_file_row(file) for file in files)]
    return "\n".join(parts)


def left_out(files: Sequence[OutputFile]) -> list[str]:
    """A line for each format that could not hold the set while the others were written."""
    told = [file.content.decode("utf-8") for file in files if file.kind == LEFT_OUT]
    return [line for text in told for line in text.splitlines()]


def _figures(result: Result) -> list[Row]:
    states, stitches = result.states, result.stitches
    thread, sewn = result.thread, result.as_sewn
    words = Measures(result.project.handout_units)
    copies = result.cutting.copies
    times = f", {copies} of it; the other figures are for one" if copies > 1 else ""
    return [
        ("size", f"{words.size(*states.in_use.pair)}{times}"),
        ("flat top", f"{words.size(*states.flat.pair)}; {_BY[states.by]}"),
        ("lines", f"{len(result.lines)} in {_sets(len(result.lines.layers))}"),
        ("starts", _starts(result)),
        ("stitches", f"{sewn.stitches:,}, {stitches.stitched_mm / 1000:.1f} m sewn"),
        ("thread", f"needle {thread.needle_m:.0f} m, bobbin {thread.bobbin_m:.0f} m"),
        ("bobbins", f"{thread.bobbins} of {thread.setting.bobbin_m:g} m"),
        ("time", f"{sewn.minutes:.0f} min at the machine; marking, basting, binding on top"),
        *_machine(result),
        ("widest gap", _gap(result)),
        ("findings", _count_of_findings(result)),
    ]


def _starts(result: Result) -> str:
    """How often thread begins, also in the parts of a machine where that makes more."""
    return result.starts.words + result.starts_in_parts


def _machine(result: Result) -> list[Row]:
    """How the work is divided for the machine, where the project names one that can sew it."""
    machine = result.sewable_parts
    if machine is None:
        return []
    units = result.project.handout_units
    said = [say_in_units(words, units) for words in machine.division_words]
    return [("" if number else "machine", words) for number, words in enumerate(said)]


def _sets(count: int) -> str:
    return "1 set" if count == 1 else f"{count} sets"


_SIGN = {Rank.STOP: "!", Rank.THINK: "?", Rank.RECORD: "-"}


def _count_of_findings(result: Result) -> str:
    """How many of each rank; those for the record stand in the report alone."""
    ranks = [finding.rank for finding in result.findings]
    counts = [
        (ranks.count(Rank.STOP), "to mend first (!)"),
        (ranks.count(Rank.THINK), "to think about (?)"),
        (ranks.count(Rank.RECORD), "too slight to ask about, in report.json"),
    ]
    return ", ".join(f"{number} {words}" for number, words in counts if number) or "none"


_BY = {
    "swatches": "quilting draws it up as it did your swatches",
    "given figure": "quilting draws it up by the share you gave",
    "usual curve": "quilting usually draws it up to the size above",
}


def _gap(result: Result) -> str:
    words = Measures(result.project.handout_units)
    wide = result.gaps.widest_mm
    text = words.cut(wide)
    if result.gap_limit_mm is None:
        return f"{text}; give [wadding] to have it checked"
    verdict = "holds" if wide <= result.gap_limit_mm else "is too wide"
    return f"{text}; {verdict} (the wadding allows {words.cut(result.gap_limit_mm)})"


def comparison_rows(options: Sequence[Option], units: Units) -> list[Row]:
    """One line a design, with what stands out."""
    words = Measures(units)
    return [
        (
            option.label,
            f"{option.lines:>5} lines  {option.stitches:>9,} stitches  {option.minutes:>5.0f} min"
            f"  gap {words.cut(option.widest_gap_mm):>8}"
            f"  {'holds' if option.holds else 'too wide':<8}"
            f"  {say_in_units('; '.join(option.marks), units)}",
        )
        for option in options
    ]


def file_table(files: Sequence[OutputFile]) -> str:
    """One line a file: its name, its size, whether it was read back."""
    return table(_file_row(file) for file in files)


def _file_row(file: OutputFile) -> Row:
    checked = {True: ", verified", False: ", NOT verified", None: ""}[file.verified]
    return (file.name, f"{len(file.content):>10,} bytes  {file.kind}{checked}")


def table(rows: Iterable[Row]) -> str:
    """Two columns, the first as wide as it must be."""
    rows = list(rows)
    width = max((len(name) for name, _ in rows), default=0)
    return "\n".join(f"  {name:<{width}}  {text}".rstrip() for name, text in rows)


def pattern_list(own: Path | None) -> str:
    """All patterns with what they are, the user's own folder first."""
    book = (
        PatternBook((own, shipped_folder()), own.name) if own else PatternBook((shipped_folder(),))
    )
    found = [book.find(name) for name in book.names()]
    return table((p.name, f"{p.about} Suits: {p.foot}." if p.foot else p.about) for p in found)


def format_list() -> str:
    """The stitch formats with their limits and readers, then the formats of paths."""
    from quiltpath.formats import FORMATS, StitchFormat

    return table(
        (
            row.name,
            f"{f'grid {row.grid_mm:g} mm' if isinstance(row, StitchFormat) else 'paths'},"
            f" {row.read_by}",
        )
        for row in FORMATS.values()
    )


def machine_list(own: Path | None) -> str:
    """All machine profiles with what they are, the user's own folder first."""
    from quiltpath.machine import ProfileRegistry

    registry = ProfileRegistry((own, *ProfileRegistry().folders)) if own else ProfileRegistry()
    return table((name, registry.find(name).title) for name in registry.names())
