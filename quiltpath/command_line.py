"""What commands have in common: errors in one line, the folder's option, progress on a terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

import click

from quiltpath.errors import QuiltpathError

EXIT_WRONG_INPUT = 2
PROJECT_FILE = click.Path(dir_okay=False, path_type=Path)


class WholeSentences(click.Group):
    """Commands, each listed with the whole first sentence of what it does."""

    def add_command(self, cmd: click.Command, name: str | None = None) -> None:
        """Add one with the words that stand beside its name."""
        first, _, _ = " ".join((cmd.help or "").split("\n\n")[0].split()).partition(". ")
        cmd.short_help = f"{first.rstrip('.')}."
        super().add_command(cmd, name)


def answers_in_one_line(command: Callable[..., Any]) -> Callable[..., Any]:
    """Turn the package's own errors into one line on stderr and exit code 2."""

    @wraps(command)
    def wrapped(*arguments: Any, **options: Any) -> Any:
        try:
            return command(*arguments, **options)
        except QuiltpathError as error:
            click.echo(str(error), err=True)
            sys.exit(EXIT_WRONG_INPUT)

    return wrapped


def out_folder(words: str, required: bool = True) -> Callable[[Any], Any]:
    """The option that names where files go."""
    place = click.Path(file_okay=False, path_type=Path)
    return click.option("--out", "folder", type=place, required=required, help=words)


def list_option(flag: str, name: str, shown: str, words: str) -> Callable[[Any], Any]:
    """An option that takes ``"1 in, 1 1/2 in"``, once or several times; all of its parts."""

    def parts(_: click.Context, __: click.Parameter, given: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(part.strip() for text in given for part in text.split(",") if part.strip())

    return click.option(flag, name, multiple=True, callback=parts, metavar=shown, help=words)


class Steps:
    """A progress bar on a terminal, silence in a pipe."""

    def __init__(self) -> None:
        self._bar: Any = None

    def __enter__(self) -> Callable[[str, int, int], None]:
        return self._step

    def __exit__(self, *_: object) -> None:
        if self._bar is not None:
            self._bar.render_finish()

    def _step(self, what: str, done: int, of: int) -> None:
        if not sys.stderr.isatty():
            return
        if self._bar is None:
            self._bar = click.progressbar(
                length=of, file=sys.stderr, item_show_func=lambda label: label or ""
            )
        self._bar.length = of
        self._bar.update(done - self._bar.pos, what)
