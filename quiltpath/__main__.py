"""``quiltpath`` and ``python -m quiltpath``: the command line as a process of its own."""

from __future__ import annotations

from quiltpath.cli import main
from quiltpath.process import leave, take_over


def run() -> None:
    """Run the command and leave with its exit code."""
    take_over()
    try:
        main(prog_name="quiltpath")
    except SystemExit as end:
        if not isinstance(end.code, int):
            raise
        leave(end.code)


if __name__ == "__main__":
    run()
