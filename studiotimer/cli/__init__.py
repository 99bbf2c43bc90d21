"""The command line: `main(argv)` is the whole of it; each sub-module adds its commands."""

from __future__ import annotations

import argparse
import json
import re
import sys
from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from typing import NoReturn, TypeAlias

from studiotimer import __version__
from studiotimer.errors import InputError
from studiotimer.plain import plain
from studiotimer.units import UnitError

Handler = Callable[[argparse.Namespace], int]

_GROUPS = ("physics", "sauces", "shoot", "prep", "trying", "wrap", "menu_entry")
_NEGATIVE = re.compile(r"^[-−][\d.]")


Commands: TypeAlias = "argparse._SubParsersAction[Parser]"
"""Where a group of commands adds its own."""


class BadInputError(InputError):
    """Something the person wrote cannot be used; the message is one clear sentence."""


class Parser(argparse.ArgumentParser):
    """An argument parser whose errors are one line; what takes long to add is added by `fill` once it is asked."""

    fill: Callable[[argparse.ArgumentParser], None] | None = None

    def parse_known_args(  # type: ignore[override]  # as argparse calls it
        self, args: Sequence[str] | None = None, namespace: argparse.Namespace | None = None
    ) -> tuple[argparse.Namespace, list[str]]:
        """Parse as argparse does, with all there is to parse."""
        fill, self.fill = self.fill, None
        if fill is not None:
            fill(self)
        return super().parse_known_args(args, namespace)

    def error(self, message: str) -> NoReturn:
        """Print one line naming what was wrong and exit with 2."""
        self.exit(2, f"{self.prog}: {plain(message)} (see {self.prog} --help)\n")


def main(argv: Sequence[str]) -> int:
    """Run the command line `argv` (without the program's name) and return its exit status."""
    groups = [import_module(f"studiotimer.cli.{name}") for name in _GROUPS]
    parser = Parser(
        prog="studiotimer",
        description="Keeps the working time of real ice cream on a photo set. With no command, opens the window.",
    )
    parser.add_argument("--version", action="version", version=f"studiotimer {__version__}")
    commands = parser.add_subparsers(metavar="COMMAND", parser_class=Parser)
    for group in groups:
        group.register(commands)
    arguments = _joined_negatives(_window_by_default(list(argv), commands.choices))
    try:
        parsed = parser.parse_args(arguments)
        run: Handler = parsed.run
        return run(parsed)
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 2
    except (BadInputError, UnitError) as error:
        print(f"studiotimer: {plain(str(error))}", file=sys.stderr)
        return 2
    except BrokenPipeError:
        sys.stderr.close()
        return 1


def entry_point() -> NoReturn:
    """Run as the console command."""
    raise SystemExit(main(sys.argv[1:]))


def show(values: Mapping[str, object], text: str, as_json: bool) -> None:
    """Print `values` as one JSON object, or `text` for people."""
    print(json.dumps(values, ensure_ascii=False, allow_nan=False) if as_json else text)


def _window_by_default(arguments: list[str], commands: Mapping[str, object]) -> list[str]:
    """Put the hidden `window` command first when no command is named."""
    if arguments and (arguments[0] in commands or arguments[0] in ("-h", "--help", "--version")):
        return arguments
    return ["window", *arguments]


def _joined_negatives(arguments: list[str]) -> list[str]:
    """Join `--from -16C` to `--from=-16C`, which argparse would take for an option."""
    joined: list[str] = []
    for argument in arguments:
        if joined and _NEGATIVE.match(argument) and joined[-1].startswith("--") and "=" not in joined[-1]:
            joined[-1] += "=" + argument
        else:
            joined.append(argument)
    return joined
