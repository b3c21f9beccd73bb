"""One error family, so that a caller needs one ``except`` and a person gets one line."""

from __future__ import annotations

from quiltpath.units import Units, say_in_units


class QuiltpathError(Exception):
    """Base of every error that this package raises on purpose."""


LONGEST_PART = 400
"""Characters of one part of a line; a name or value that is longer is cut in the middle."""


def _shorten(part: str) -> str:
    half = LONGEST_PART // 2
    return part if len(part) <= LONGEST_PART else f"{part[:half]} ... {part[-half:]}"


class InputError(QuiltpathError):
    """Something in the user's own file or call is wrong.

    The text is always one line: where it is, what is wrong, what would be right.
    """

    def __init__(self, where: str, key: str, fault: str, remedy: str = "") -> None:
        self.where = where
        self.key = key
        self.fault = fault
        self.remedy = remedy
        super().__init__(self._line())

    def __reduce__(self) -> tuple[type[InputError], tuple[str, str, str, str]]:
        """So that a fault found in another process is the same fault here."""
        return InputError, (self.where, self.key, self.fault, self.remedy)

    @classmethod
    def parted(cls, key: str, error: ValueError) -> InputError:
        """The fault under ``key`` of a plain error: what would be right stands after "; "."""
        fault, _, remedy = str(error).partition("; ")
        return cls("", key, fault, remedy)

    def _line(self) -> str:
        parts = [_shorten(part) for part in (self.where, self.key, self.fault) if part]
        text = ": ".join(parts) + (f"; {_shorten(self.remedy)}" if self.remedy else "")
        # What came from a file must not steer the terminal that it is shown on.
        return "".join(c if c.isprintable() else "?" for c in " ".join(text.split()))

    def at(self, where: str, key_prefix: str = "") -> InputError:
        """The same fault, seen from further out (a section knows its key, the loader the file)."""
        key = ".".join(part for part in (key_prefix, self.key) if part)
        return InputError(where or self.where, key, self.fault, self.remedy)

    def in_units(self, units: Units) -> InputError:
        """The same fault with its lengths in the units that were asked for."""
        fault, remedy = say_in_units(self.fault, units), say_in_units(self.remedy, units)
        return InputError(self.where, self.key, fault, remedy)


class FormatLimitError(QuiltpathError):
    """A file format cannot carry this design; the text says which limit it breaks."""


class VerificationError(QuiltpathError):
    """A file that was written does not read back as what was meant; it is not delivered."""
