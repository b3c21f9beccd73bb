"""Machine profiles: what a kind of machine can reach, sew and read, as data files."""

from quiltpath.machines.profile import GcodeWords, MachineKind, MachineProfile
from quiltpath.machines.shelf import ProfileShelf

__all__ = ["GcodeWords", "MachineKind", "MachineProfile", "ProfileShelf"]
