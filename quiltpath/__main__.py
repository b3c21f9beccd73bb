"""``python -m quiltpath`` is the command line."""

from quiltpath.cli import main

if __name__ == "__main__":
    main(prog_name="quiltpath")
