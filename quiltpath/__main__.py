"""``python -m quiltpath`` is the command line."""

from quiltpath.cli import main

main(prog_name="quiltpath")
