"""What the project's sections say of stitches and thread, as the rooms below take it."""

from __future__ import annotations

from quiltpath.project import Project
from quiltpath.project.sewing_sections import StitchSetting
from quiltpath.stitching.thread_and_time import ThreadSetting


def stitch_setting(project: Project) -> StitchSetting:
    """What the project says of its stitches."""
    stitch = project.stitch
    return StitchSetting(
        set_mm=stitch.length,
        low_mm=stitch.shortest,
        high_mm=stitch.longest,
        corner_deg=stitch.corner,
        securing=stitch.securing,
        securing_count=stitch.securing_count,
        securing_mm=stitch.securing_length,
    )


def thread_setting(project: Project) -> ThreadSetting:
    """What the project says of its thread."""
    thread = project.thread
    return ThreadSetting(
        thickness_mm=thread.thickness,
        diameter_mm=thread.diameter,
        wastage_share=thread.wastage,
        bobbin_m=thread.bobbin,
        tail_mm=project.stitch.tail,
        needle_factor=thread.needle_factor,
        bobbin_factor=thread.bobbin_factor,
    )
