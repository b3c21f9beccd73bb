"""What is made for a machine, as it comes back from where it was made: no writer is imported."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from quiltpath.make.output_file import OutputFile

if TYPE_CHECKING:
    from quiltpath.checks.void_checklist import ToCount
    from quiltpath.output.instructions_machine import MachineLoad


@dataclass(frozen=True)
class MachineWork:
    """Files for the machine, the crosses to be marked on the cloth, and what the report says.

    ``to_count`` lists the lines and crossings of each part, where there are parts; ``load`` is
    what the instructions say of loading them.
    """

    files: tuple[OutputFile, ...]
    crosses: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 2)))
    told: dict[str, object] | None = None
    to_count: tuple[ToCount, ...] = ()
    load: MachineLoad | None = None
