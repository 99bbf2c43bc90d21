"""Commands that put the program into the desktop's menu and take it out again."""

from __future__ import annotations

import argparse

from studiotimer.cli import BadInputError, Commands


def register(commands: Commands) -> None:
    """Add this group's commands."""
    install = commands.add_parser(
        "install-desktop",
        help="Linux: put the program into the desktop's menu, and have a double click open .setlog files",
        description="Puts a menu entry, the icon in all sizes and the type of .setlog files into your own folder; no "
        "other rights are needed.",
        epilog="example: studiotimer install-desktop",
    )
    install.set_defaults(run=_install)
    remove = commands.add_parser(
        "remove-desktop",
        help="take away what install-desktop put there",
        description="Takes the menu entry, the icons and the type of .setlog files away again; sessions stay.",
        epilog="example: studiotimer remove-desktop",
    )
    remove.set_defaults(run=_remove)


def _install(_: argparse.Namespace) -> int:
    from studiotimer.desktop import DesktopError, command, install

    try:
        print(*install(command()), sep="\n")
    except DesktopError as error:
        raise BadInputError(str(error)) from None
    return 0


def _remove(_: argparse.Namespace) -> int:
    from studiotimer.desktop import DesktopError, uninstall

    try:
        print(*uninstall(), sep="\n")
    except DesktopError as error:
        raise BadInputError(str(error)) from None
    return 0
