"""Everything that one machine is given for one runner: files, sheets, figures.

How to call it, from where the stitches and the runner are known::

    made = machine_set(
        stitches, profile, outline=runner.outline, printed=runner.printed, title=project.title,
        request=MachineRequest(thread_setting, parts=PartSetting(centre_out=True)),
    )
    for file in made.files:      # name, contents, kind, verified: bytes, nothing touches the disk
        ...
    made.pages                   # a Drawing: an overview and a page for each part
    made.crosses                 # (n, 2) mm, to be drawn on the marking guide
    made.refused                 # formats that cannot hold the design, with the reason

Raises ``InputError`` where the machine cannot sew the runner, with the smallest field that would
do, and ``VerificationFailed`` where a file does not read back as meant: it is not delivered.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.distinct import distinct
from quiltpath.errors import FormatRefused, InputError
from quiltpath.estimate import ThreadSetting
from quiltpath.machines.passes import SewnPasses
from quiltpath.machines.profile import MachineKind, MachineProfile
from quiltpath.output.drawing import Drawing
from quiltpath.output.machine import FORMATS, deliver
from quiltpath.output.machine_facts import PartFacts, part_facts
from quiltpath.output.machine_loading import loading_text
from quiltpath.output.machine_pages import machine_pages
from quiltpath.output.machine_parts.parts import Part
from quiltpath.output.machine_parts.plan import PartPlan, PartSetting, plan
from quiltpath.output.machine_paths import PATH_FORMATS, deliver_paths
from quiltpath.output.machine_trace import trace_stitches
from quiltpath.stitching.stitches import PointKind, Stitches


@dataclass(frozen=True)
class MachineRequest:
    """What is wanted for the machine; ``formats`` empty takes those of its profile.

    ``thread`` is what the figures of thread rest on. ``kinds`` names, for each quilting line, the
    layer that path files put it on.
    """

    thread: ThreadSetting
    formats: tuple[str, ...] = ()
    parts: PartSetting = field(default=PartSetting())
    tolerance_mm: float = 0.05
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True)
class MachineFile:
    """A file for the machine. ``kind`` is ``"stitches"``, ``"paths"``, ``"trace"`` or ``"text"``;
    ``verified`` tells that it was read back and is what was meant (text is not read back)."""

    name: str
    contents: bytes
    kind: str
    verified: bool


@dataclass(frozen=True)
class MachineSet:
    """Files in an order that sorts by name, the plan behind them, and the pages to print."""

    files: tuple[MachineFile, ...]
    plan: PartPlan
    facts: tuple[PartFacts, ...]
    pages: Drawing
    refused: tuple[str, ...]

    @property
    def crosses(self) -> NDArray[np.float64]:
        """(n, 2) alignment crosses to be marked on the cloth, each once; none for one part."""
        if self.plan.in_one:
            return np.zeros((0, 2))
        every = np.vstack([part.crosses for part in self.plan.parts])
        return distinct(np.round(every, 3), axis=0)


def machine_set(
    stitches: Stitches,
    profile: MachineProfile,
    *,
    outline: shapely.Polygon,
    printed: Sequence[shapely.LineString] = (),
    title: str,
    request: MachineRequest,
    passes: SewnPasses | None = None,
) -> MachineSet:
    """Files, figures and pages of one machine for one runner; see the module's own text.

    ``passes`` are those of a frame, where there are several.
    """
    formats = known_formats(request.formats or profile.formats)
    planned = plan(
        stitches, profile, request.parts, outline=outline, printed=printed, passes=passes
    )
    facts = tuple(part_facts(part, profile, request.thread) for part in planned.parts)
    files: list[MachineFile] = []
    refused: list[str] = []
    for part in planned.parts:
        for name in formats:
            try:
                files += _part_files(part, name, profile, outline, title, request)
            except FormatRefused as reason:
                refused.append(f"{part.name}: {reason}")
    text = loading_text(title, planned, facts).encode("utf-8")
    files.append(MachineFile("LOADING.txt", text, "text", False))
    pages = machine_pages(title, planned, facts, outline)
    return MachineSet(
        tuple(sorted(files, key=lambda file: file.name)), planned, facts, pages, tuple(refused)
    )


def known_formats(names: Sequence[str]) -> tuple[str, ...]:
    """The names of stitch and path formats, each once. Raises ``InputError``."""
    plain = [name.lower().lstrip(".") for name in names]
    for name in plain:
        if name not in FORMATS and name not in PATH_FORMATS:
            known = ", ".join([*FORMATS, *PATH_FORMATS])
            raise InputError("", "machine.formats", f"{name!r} is not a format", f"use {known}")
    return tuple(dict.fromkeys(plain))


def _part_files(
    part: Part,
    name: str,
    profile: MachineProfile,
    outline: shapely.Polygon,
    title: str,
    request: MachineRequest,
) -> list[MachineFile]:
    """The part in one format, with its trace where the machine moves a head over the work."""
    sewn = _as_sewn(part.machine_stitches, profile)
    files = [_file(part.name, sewn, name, profile, title, request)]
    if profile.kind is not MachineKind.HOOP:
        edge = trace_stitches(part, outline)
        files.append(_file(f"{part.name}-trace", edge, name, profile, "trace", request, sews=False))
    return files


def _file(
    stem: str,
    stitches: Stitches,
    name: str,
    profile: MachineProfile,
    title: str,
    request: MachineRequest,
    *,
    sews: bool = True,
) -> MachineFile:
    if name in PATH_FORMATS:
        contents, seen = deliver_paths(
            stitches,
            name,
            profile,
            title,
            tolerance_mm=request.tolerance_mm,
            kinds=request.kinds,
            sews=sews,
        )
        ending, verified = PATH_FORMATS[name].ending, seen.verified
    else:
        contents, verdict = deliver(stitches, name, title, longest_jump_mm=profile.longest_jump)
        ending, verified = f".{name}", verdict.verified
    kind = "trace" if not sews else "paths" if name in PATH_FORMATS else "stitches"
    return MachineFile(stem + ending, contents, kind, verified)


def _as_sewn(stitches: Stitches, profile: MachineProfile) -> Stitches:
    """Where the machine cannot cut thread, it waits for the person to do it."""
    if profile.trims:
        return stitches
    kind = np.where(stitches.kind == PointKind.TRIM, PointKind.STOP, stitches.kind)
    return dataclasses.replace(stitches, kind=kind.astype(np.int8))
