"""Estimates: thread, bobbins, time."""

from quiltpath.estimate.sewing_time import SewingTime, TimeSetting, sewing_time
from quiltpath.estimate.thread import ThreadSetting, ThreadUse, bobbin_mm_along, thread_use

__all__ = [
    "SewingTime",
    "ThreadSetting",
    "ThreadUse",
    "TimeSetting",
    "bobbin_mm_along",
    "sewing_time",
    "thread_use",
]
