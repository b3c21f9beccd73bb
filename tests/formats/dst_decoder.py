"""A decoder of DST written from the public table of bits, sharing nothing with the writer.

Sources: "DST design format", achatina.de, and "Tajima Ternary", KDE community wiki. Bits 7..0:
byte 1  y+1 y-1 y+9 y-9 x-9 x+9 x-1 x+1
byte 2  y+3 y-3 y+27 y-27 x-27 x+27 x-3 x+3
byte 3  jump, colour change, y+81 y-81 x-81 x+81, set, set
Units are 0.1 mm, y upwards. The header has 512 bytes, its fields end with a carriage return and
0x1A ends them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

_X = ((0, 0, 0, 0, -9, 9, -1, 1), (0, 0, 0, 0, -27, 27, -3, 3), (0, 0, 0, 0, -81, 81, 0, 0))
_Y = ((1, -1, 9, -9, 0, 0, 0, 0), (3, -3, 27, -27, 0, 0, 0, 0), (0, 0, 81, -81, 0, 0, 0, 0))


@dataclass(frozen=True)
class Dst:
    """Header fields, and records as (m, 2) steps and places in 0.1 mm with a code each."""

    header: dict[str, str]
    step: NDArray[np.int64]
    place: NDArray[np.int64]
    code: list[str]

    @property
    def holes_mm(self) -> NDArray[np.float64]:
        """Where the needle goes down."""
        return self.place[np.array(self.code) == "stitch"] / 10.0


def decode_dst(contents: bytes) -> Dst:
    """Every record up to the end mark."""
    head, body = contents[:512], contents[512:]
    fields = head.split(b"\x1a")[0].decode("ascii").split("\r")
    header = {field[:2]: field[3:].strip() for field in fields if field}
    records = np.frombuffer(body, dtype=np.uint8).reshape(-1, 3)
    bits = np.unpackbits(records, axis=1).reshape(-1, 3, 8).astype(np.int64)
    step = np.stack([(bits * np.array(_X)).sum((1, 2)), (bits * np.array(_Y)).sum((1, 2))], axis=1)
    code = [_code(int(last)) for last in records[:, 2]]
    sewn = code.index("end")
    return Dst(header, step[:sewn], np.cumsum(step[:sewn], axis=0), code[:sewn])


def _code(last: int) -> str:
    if last == 0xF3:
        return "end"
    if last & 0xC0 == 0xC0:
        return "colour change"
    return "jump" if last & 0x80 else "stitch"
