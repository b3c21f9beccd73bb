"""Stitches to the bytes of a stitch file, with nothing added, split or moved on the way.

A needle path becomes the records of one format: whole grid steps, jumps cut to length. The
embroidery library would by default re-plan a design (split long stitches, add jumps, choose
threads at random, stamp the date). Here it only codes: the records are planned by
:func:`machine_records`, and every setting that could alter them is off.
"""

from __future__ import annotations

import io
import math
import re
import unicodedata
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from quiltpath.errors import FormatLimitError
from quiltpath.formats.stitch_formats import CutSign, StitchFormat, find_format
from quiltpath.geometry.arrays import Floats
from quiltpath.stitching import Stitches
from quiltpath.stitching.needle_path import NeedlePath, needle_path

# The library's command numbers; part of its public face, so that no import is needed here.
STITCH, JUMP, TRIM, STOP, END, COLOUR_CHANGE = range(6)

TITLE_LETTERS = 16
"""The shortest title field of most formats."""
SHORTEST_TITLE = 8
"""The shortest of all, as PES has it."""

_THREAD_COLOUR = "#4a4a4a"
_NO_DATE = "20000101000000"
_DST_HEADER = 512


@dataclass(frozen=True, eq=False)
class Records:
    """Records of a stitch file.

    ``at``       (m, 2) whole grid units from the file's origin, y DOWNWARDS as files have it
    ``command``  (m,) command numbers, the last one ``END``
    """

    at: NDArray[np.int64]
    command: NDArray[np.int64]


def write(
    stitches: Stitches,
    extension: str,
    title: str,
    longest_jump_mm: float = math.inf,
    middle_mm: Floats | None = None,
) -> bytes:
    """The bytes of a stitch file; its origin is ``middle_mm``, or the design's centre, to the grid.

    Raises ``InputError`` for an unknown format and ``FormatLimitError`` where the design breaks one
    of its limits. The same stitches give the same bytes. A jump longer than ``longest_jump_mm``,
    or than a record of the format holds, takes several records.
    """
    form = find_format(extension)
    form = replace(form, jump_mm=min(form.jump_mm, longest_jump_mm))
    path = needle_path(stitches, middle_mm)
    refuse_if_too_big(path, form)
    return encode(machine_records(path, form), form, title)


def refuse_if_too_big(path: NeedlePath, form: StitchFormat) -> None:
    """Raise ``FormatLimitError`` where the design breaks a limit of the format."""
    name = form.extension.upper()
    if len(path) == 0:
        raise FormatLimitError(f"{name}: there is nothing to sew")
    left, low, right, high = path.bounds
    size = max(right - left, high - low)
    if size > form.largest_mm:
        raise FormatLimitError(
            f"{name}: the design is {size:.1f} mm long; the format holds {form.largest_mm:.1f} mm"
        )
    if path.stops > form.most_stops:
        raise FormatLimitError(
            f"{name}: {path.stops} halts, and the format holds {form.most_stops:.0f}"
        )
    _refuse_long_stitches(path, form)


def _refuse_long_stitches(path: NeedlePath, form: StitchFormat) -> None:
    steps = np.abs(np.diff(grid_points(path, form), axis=0)).max(axis=1, initial=0)
    steps = np.where(path.moved[1:], 0, steps)
    # Compared in grid units: 12.1 mm is 121 of them, whatever floating point makes of 12.1.
    if len(steps) and steps.max() > form.longest_mm / form.grid_mm + 0.5:
        worst = int(steps.argmax())
        x, y = path.holes[worst + 1]
        raise FormatLimitError(
            f"{form.extension.upper()}: a stitch of {steps[worst] * form.grid_mm:.1f} mm along an "
            f"axis ends at ({x:.1f}, {y:.1f}) mm and a record holds {form.longest_mm:.1f} mm"
        )


def machine_records(path: NeedlePath, form: StitchFormat) -> Records:
    """All records of the file: before each hole its cut, its halt and its jumps, then the stitch.

    A jump ends exactly on the hole, so that the stitch after it is a needle going straight down.
    """
    goal = grid_points(path, form)
    origin = np.vstack([np.zeros((1, 2), dtype=np.int64), goal[:-1]])
    jumps = _jump_counts(goal - origin, path, form)
    per_hole = path.cut.astype(np.int64) + path.stop + jumps + 1
    last = np.cumsum(per_hole) - 1
    hole = np.repeat(np.arange(len(goal)), per_hole)
    # Counted back from the stitch: 0 the stitch, 1..jumps the jumps, then the halt, then the cut.
    back = last[hole] - np.arange(len(hole))
    command = _commands(back, jumps[hole], path.stop[hole], form)
    at = _positions(back, jumps[hole], origin[hole], goal[hole])
    return _close(Records(at, command), path, form)


def grid_points(path: NeedlePath, form: StitchFormat) -> NDArray[np.int64]:
    """(k, 2) holes in whole grid units from the file's origin, y downwards."""
    from_origin = (path.holes - path.file_origin(form.grid_mm)) * (1.0, -1.0)
    return np.rint(from_origin / form.grid_mm).astype(np.int64)


def _jump_counts(
    steps: NDArray[np.int64], path: NeedlePath, form: StitchFormat
) -> NDArray[np.int64]:
    if np.isinf(form.jump_mm):
        return path.moved.astype(np.int64)
    longest = round(form.jump_mm / form.grid_mm)
    counts = -(-np.abs(steps).max(axis=1) // longest)
    counts = np.where(path.moved, counts, 0)
    if form.cut is CutSign.ANY_JUMP:
        counts = np.where(path.cut, np.maximum(counts, 1), counts)
    return counts


def _commands(
    back: NDArray[np.int64], jumps: NDArray[np.int64], stop: NDArray[np.bool_], form: StitchFormat
) -> NDArray[np.int64]:
    command = np.full(len(back), TRIM, dtype=np.int64)
    command[stop & (back == jumps + 1)] = STOP if form.own_stop else COLOUR_CHANGE
    command[(back >= 1) & (back <= jumps)] = JUMP
    command[back == 0] = STITCH
    return command


def _positions(
    back: NDArray[np.int64],
    jumps: NDArray[np.int64],
    origin: NDArray[np.int64],
    goal: NDArray[np.int64],
) -> NDArray[np.int64]:
    """Jumps share their way evenly; cut and halt stay where the needle is."""
    done = np.clip((jumps + 1 - back) / np.maximum(jumps, 1), 0.0, 1.0)
    done[back == 0] = 1.0
    return origin + np.rint((goal - origin) * done[:, None]).astype(np.int64)


def _close(records: Records, path: NeedlePath, form: StitchFormat) -> Records:
    """With the cut after the last hole, the end, and extents made even where that is needed."""
    ending = ([TRIM] if path.cut_at_end else []) + [END]
    tail = np.repeat(records.at[-1:], len(ending), axis=0)
    parts, commands = [records.at, tail], [records.command, np.array(ending)]
    if form.whole_centre:
        odd = (records.at.min(axis=0, initial=0) + records.at.max(axis=0, initial=0)) % 2
        parts.insert(0, (records.at.max(axis=0, initial=0) + odd)[None, :])
        commands.insert(0, np.array([JUMP]))
    return Records(np.vstack(parts), np.concatenate(commands))


def encode(records: Records, form: StitchFormat, title: str) -> bytes:
    """The records in the coding of the format."""
    from pyembroidery import EmbPattern

    pattern = _pattern(records, form, title)
    text = form.extension == "json"
    stream: io.StringIO | io.BytesIO = io.StringIO() if text else io.BytesIO()
    settings = {"encode": False, "trims": True, "date": _NO_DATE}
    EmbPattern.write_embroidery(library_codec(form.extension)["writer"], pattern, stream, settings)
    written = stream.getvalue()
    coded = written if isinstance(written, bytes) else written.encode("utf-8")
    return _true_dst_header(coded) if form.extension == "dst" else coded


def library_codec(extension: str) -> dict[str, Any]:
    """The library's own entry for an extension, empty where it has none."""
    from pyembroidery import EmbPattern

    known: list[dict[str, Any]] = [row for row in EmbPattern.supported_formats() if row is not None]
    return next((row for row in known if row["extension"] == extension), {})


def _pattern(records: Records, form: StitchFormat, title: str) -> Any:
    from pyembroidery import EmbPattern, EmbThread

    thread = EmbThread()
    thread.set(_THREAD_COLOUR)
    thread.description = "thread"
    pattern = EmbPattern()
    pattern.metadata("name", safe_title(title))
    # One thread a colour block: where one is missing the library would make up a random one.
    changes = int((records.command == COLOUR_CHANGE).sum())
    pattern.threadlist = [thread] * (changes + 1)
    # The library counts in tenths of a millimetre.
    tenths = records.at if form.grid_mm == 0.1 else (records.at * (10 * form.grid_mm)).round(2)
    columns = (tenths[:, 0].tolist(), tenths[:, 1].tolist(), records.command.tolist())
    pattern.stitches = list(map(list, zip(*columns, strict=True)))
    return pattern


def safe_title(title: str) -> str:
    """A title that every header can hold: plain letters, digits and spaces, at most 16, and a
    stroke between digits."""
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode("ascii")
    words = re.sub(r"(?<!\d)/|/(?!\d)|[^A-Za-z0-9/]+", " ", plain).split()
    return " ".join(words)[:TITLE_LETTERS].strip() or "runner"


def part_title(title: str, number: int, count: int, mark: str = "") -> str:
    """A part's name on the machine's screen: the title's initials, then which part of how many.

    It tells parts apart in the shortest title field of all formats: ``HS 03/14``. A file that
    stands beside a part's own has one letter, ``mark``, in place of the initials, which are two
    where there is room for them and else none: so neither is taken for the other.
    """
    if count == 1:
        return f"{mark} {title}" if mark else title
    digits = max(2, len(str(count)))
    which = f"{number:0{digits}d}/{count:0{digits}d}"
    room = SHORTEST_TITLE - len(which)
    gap = " " if room > 2 else ""
    initials = mark or _initials(title, room - len(gap))
    return f"{initials}{gap if initials else ''}{which}"


def _initials(title: str, room: int) -> str:
    """The initials of a title, or the first two letters of one word; nothing where one letter
    alone would fit."""
    words = safe_title(title).replace("/", " ").upper().split()
    letters = "".join(word[0] for word in words) if len(words) > 1 else words[0][:2]
    return letters[:room] if room > 1 and len(letters) > 1 else ""


def _true_dst_header(coded: bytes) -> bytes:
    """Header fields made to agree with the records that follow.

    The library counts a cut as one record where it writes three, and names the extents above and
    below the start the wrong way round (the records themselves are right).
    """
    header, body = coded[:_DST_HEADER], coded[_DST_HEADER:]
    count = b"ST:%7d\r" % (len(body) // 3)
    up, down = header[65:74], header[56:65]
    fields = header[:20] + count + header[31:56] + b"+Y" + up[2:] + b"-Y" + down[2:]
    return fields + header[74:] + body
