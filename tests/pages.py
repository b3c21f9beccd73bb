"""How browser tests wait for a page: until it says that it is done, however busy the machine."""

from __future__ import annotations

from typing import Any

PATIENCE_MS = 120_000
"""How long a page may take before a test gives it up: a busy machine is no fault of the page."""


def wait_for_rest(page: Any) -> None:
    """Until the last change on a live page has been answered in full."""
    page.wait_for_function(
        "() => window.quiltpath && window.quiltpath.settled === window.quiltpath.version()"
    )


def wait_for_light(page: Any) -> None:
    """Until the cloth is shown as quilted.

    A page opened by a click is handed over before its own script has run, so that nothing of it
    may be there yet.
    """
    page.wait_for_function("() => window.quiltpath?.lit?.()")


def wait_for_frame(page: Any) -> None:
    """Until what was asked for has been painted: a callback runs before its own frame is."""
    page.evaluate("() => new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r)))")


def apart(one: dict[str, float], other: dict[str, float]) -> bool:
    """Two boxes of a page overlap nowhere."""
    return any(
        min(one[at] + one[size], other[at] + other[size]) <= max(one[at], other[at])
        for at, size in (("x", "width"), ("y", "height"))
    )
