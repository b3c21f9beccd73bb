"""A machine that reads G-code, written from the standard's words and not from the writer."""

from __future__ import annotations

import re


class Machine:
    """An interpreter of the words that a gantry is given, by ISO 6983-1 (from memory).

    G20 inch, G21 mm, G90 absolute, G91 relative, G0 rapid, G1 feed, F feed rate, M0 stop, M2 end.
    Words may follow each other without spaces, text in brackets is for people, and G and F hold
    until another is given. Needle words are this profile's.

    ``runs``    places at which the needle sewed, a list for each time that it went down
    ``moves``   start, end and feed in mm a minute of each sewn move
    ``traced``  places passed at feed with the needle up, a list for each rapid before them; only a
                program that ``traces`` may do so
    """

    def __init__(self, program: str, *, traces: bool = False) -> None:
        self.traces = traces
        self.traced: list[list[tuple[float, float]]] = []
        self.moves: list[tuple[tuple[float, float], tuple[float, float], float]] = []
        self.runs: list[list[tuple[float, float]]] = []
        self.feeds: set[float] = set()
        self.halts: list[tuple[float, float]] = []
        self.needle, self.ended = False, False
        self.at, self.unit, self.motion, self.feed = (0.0, 0.0), 0.0, 0, 0.0
        for block in re.sub(r"\([^)]*\)", "", program).splitlines():
            self._block(re.findall(r"([A-Z])\s*(-?\d+(?:\.\d+)?)", block))

    def _block(self, words: list[tuple[str, str]]) -> None:
        assert not (self.ended and words), "nothing may follow the end"
        place = dict(zip("XY", self.at, strict=True))
        for letter, number in words:
            value = float(number)
            if letter == "G":
                self._mode(int(value))
            elif letter == "M":
                self._switch(int(value))
            elif letter == "F":
                self.feed = value * self.unit
            else:
                place[letter] = value * self.unit
        if any(letter in "XY" for letter, _ in words):
            self._move((place["X"], place["Y"]))

    def _mode(self, code: int) -> None:
        assert code in (0, 1, 20, 21, 90)
        if code in (20, 21):
            self.unit = 25.4 if code == 20 else 1.0
        elif code in (0, 1):
            self.motion = code

    def _switch(self, code: int) -> None:
        assert code in (0, 2, 3, 5)
        if code in (3, 5):
            self.needle = code == 3
            if self.needle:
                self.runs.append([self.at])
        elif code == 0:
            assert not self.needle, "the person's hands come near: the needle must be up"
            self.halts.append(self.at)
        self.ended = code == 2

    def _move(self, to: tuple[float, float]) -> None:
        sews = self.motion == 1 and not self.traces
        assert self.needle == sews, "sew at feed, travel with the needle up"
        if self.motion == 1:
            assert self.feed > 0
            self.feeds.add(self.feed)
        if self.needle:
            self.runs[-1].append(to)
            self.moves.append((self.at, to, self.feed))
        elif self.motion == 1:
            self.traced[-1].append(to)
        else:
            self.traced.append([to])
        self.at = to
