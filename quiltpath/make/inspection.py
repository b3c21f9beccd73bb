"""``inspect``: what a stitch file from anywhere holds, in words."""

from __future__ import annotations

from pathlib import Path

from quiltpath.errors import InputError
from quiltpath.make.summary import table
from quiltpath.output.machine import Inspection, inspect_file

MAX_STITCH_FILE_BYTES = 50_000_000
"""About ten million stitches."""


def inspect_path(path: Path) -> str:
    """The facts of the stitch file at ``path`` as a table; raises :class:`InputError`."""
    try:
        if path.stat().st_size > MAX_STITCH_FILE_BYTES:
            raise InputError(path.name, "", "is larger than 50 MB", "give a stitch file")
        content = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "cannot be read").lower()
        raise InputError(path.name, "", reason, "check the name and the folder") from None
    facts = inspect_file(content, path.suffix, path.name)
    return f"{path.name}\n{table(_rows(facts))}"


def _rows(facts: Inspection) -> list[tuple[str, str]]:
    wide_in, high_in = facts.size_in
    shortest, median, longest = facts.stitch_mm
    return [
        (
            "size",
            f"{facts.width_mm:.1f} x {facts.height_mm:.1f} mm ({wide_in:.2f} x {high_in:.2f} in)",
        ),
        ("stitches", f"{facts.stitches:,}, {facts.sewn_mm / 1000:.1f} m sewn"),
        ("stitch length", f"{shortest:.2f} to {longest:.2f} mm, median {median:.2f} mm"),
        ("jumps", str(facts.jumps)),
        ("trims", str(facts.trims)),
        ("colour changes", str(facts.colour_changes)),
        ("stops", str(facts.stops)),
        ("starts at", f"{facts.start_mm[0]:.1f}, {facts.start_mm[1]:.1f} mm"),
        ("ends at", f"{facts.end_mm[0]:.1f}, {facts.end_mm[1]:.1f} mm"),
    ]
