"""Machine profiles: what a kind of machine can reach, sew and read, as data files."""

from __future__ import annotations

from quiltpath.machine.profile import GcodeWords, MachineKind, MachineProfile, ProfileRegistry

__all__ = ["GcodeWords", "MachineKind", "MachineProfile", "ProfileRegistry"]
