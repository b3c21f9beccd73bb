"""G-code by ISO 6983 words: G21 mm, G90 absolute, G0 rapid, G1 feed, F, M0 stop, M2 end.

What makes the needle go is each builder's own, so those words come from the machine's profile.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Points
from quiltpath.machine import GcodeWords

_DECIMALS = 3


@dataclass(frozen=True)
class Feeds:
    """Feeds in mm a minute: where it sews or traces, and on tiny securing moves."""

    usual: float
    tiny: float = 0.0


def write_gcode(
    lines: Sequence[Points],
    tiny: Sequence[NDArray[np.bool_]],
    feeds: Feeds,
    words: GcodeWords,
    title: str,
    *,
    sews: bool = True,
) -> bytes:
    """The polylines as a program; it stops with the needle up wherever the thread is cut.

    ``tiny`` says for each point whether the move that ends there is a tiny one that secures the
    thread: at one rate of stitches a lower feed makes shorter stitches. Where the program does not
    sew, as for a trace, the needle is never put down.
    """
    program = [f"({title})", "G21", "G90", words.needle_up]
    for number, (line, small) in enumerate(zip(lines, tiny, strict=True)):
        if number:
            program.append(words.wait)
        program += [
            f"G0 {_point(line[0])}",
            *([words.needle_down] if sews else []),
            *_moves(line, small, feeds),
            words.needle_up,
        ]
    return ("\n".join([*program, "M2"]) + "\n").encode("ascii")


def _moves(line: Points, tiny: NDArray[np.bool_], feeds: Feeds) -> Iterator[str]:
    """The feed is said where it changes, as it holds until another is given."""
    before = 0.0
    for point, small in zip(line[1:], tiny[1:].tolist(), strict=True):
        feed = feeds.tiny if small else feeds.usual
        yield f"G1 {_point(point)}" + (f" F{feed:.0f}" if feed != before else "")
        before = feed


def _point(point: Points) -> str:
    # Adding 0.0 turns a negative zero into a plain one.
    x, y = np.round(point, _DECIMALS) + 0.0
    return f"X{x:.{_DECIMALS}f} Y{y:.{_DECIMALS}f}"


def read_gcode(contents: bytes) -> list[Points]:
    """The polylines that a program moves along at feed, each from the rapid that leads to it.

    Raises ``ValueError`` where units, mode or end are not stated.
    """
    program = re.sub(r"\([^)]*\)", "", contents.decode("ascii")).split("\n")
    codes = [line.split() for line in program if line.strip()]
    stated = {code for line in codes for code in line}
    if not {"G21", "G90", "M2"} <= stated:
        raise ValueError("the program does not state millimetres, absolute places and its end")
    found: list[list[tuple[float, float]]] = []
    for line in codes:
        if line[0] == "G0":
            found.append([_place(line)])
        elif line[0] == "G1":
            found[-1].append(_place(line))
    return [np.array(points, dtype=np.float64) for points in found]


def _place(line: Sequence[str]) -> tuple[float, float]:
    values = {word[0]: float(word[1:]) for word in line[1:]}
    return values["X"], values["Y"]
