"""G-code by ISO 6983 words: G21 mm, G90 absolute, G0 rapid, G1 feed, F, M0 stop, M2 end.

What makes the needle go is each builder's own, so those words come from the machine's profile.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np

from quiltpath.geometry.arrays import Points
from quiltpath.machine import GcodeWords

_DECIMALS = 3


def write_gcode(
    lines: Sequence[Points],
    feed_mm_per_min: float,
    words: GcodeWords,
    title: str,
    *,
    sews: bool = True,
) -> bytes:
    """The polylines as a program; it stops with the needle up wherever the thread is cut.

    Where it does not sew, as for a trace, the needle is never put down.
    """
    program = [f"({title})", "G21", "G90", words.needle_up]
    for number, line in enumerate(lines):
        if number:
            program.append(words.wait)
        program += [
            f"G0 {_point(line[0])}",
            *([words.needle_down] if sews else []),
            f"G1 {_point(line[1])} F{feed_mm_per_min:.0f}",
            *(f"G1 {_point(point)}" for point in line[2:]),
            words.needle_up,
        ]
    return ("\n".join([*program, "M2"]) + "\n").encode("ascii")


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
