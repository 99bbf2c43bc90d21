"""The command that asks what a sauce does: sauce."""

from __future__ import annotations

import argparse

from studiotimer.cli import Commands, show
from studiotimer.cli.physics import MIX_HELP, command, mix_of
from studiotimer.units import POURED, TEMPERATURE, parse, temperature


def register(commands: Commands) -> None:
    """Add this group's command."""
    sauce = command(
        commands, "sauce", _sauce, "how warm a sauce may be poured, and how deep one melts the scoop",
        "--mix premium --edge-at -12C --poured 30C",
    )  # fmt: skip
    sauce.add_argument("--mix", required=True, help=MIX_HELP)
    sauce.add_argument("--edge-at", required=True, metavar="TEMP", help="the edge as it is poured; example: -12C")
    sauce.add_argument("--poured", metavar="TEMP", help="a pouring temperature to ask about; example: 30C")


def _sauce(args: argparse.Namespace) -> int:
    from studiotimer.thermal.sauce import DEEP_M, HARMLESS_M, advised_c, bite_m

    mix, edge_c = mix_of(args.mix), parse(args.edge_at, TEMPERATURE, "edge-at")
    poured = parse(args.poured, POURED, "poured") if args.poured else None
    advised = advised_c(mix, edge_c)
    values: dict[str, object] = {"advised_c": None if advised is None else round(advised, 1)}
    if advised is None:
        lines = ["no sauce is harmless there: the edge is too warm for one"]
    else:
        lines = [f"pour it at {temperature(advised)} at most: harmless on the ruffle"]
    if poured is not None:
        ruffle, body = bite_m(mix, edge_c, poured), bite_m(mix, edge_c, poured, DEEP_M)
        values |= {"ruffle_mm": round(1000 * ruffle, 3), "body_mm": round(1000 * body, 3)}
        values["harmless"] = ruffle <= HARMLESS_M
        said = "harmless" if ruffle <= HARMLESS_M else "it shows"
        bites = f"{1000 * ruffle:.2f} mm of the ruffle and {1000 * body:.2f} mm of the body"
        lines.append(f"at {temperature(poured)} it melts {bites}: {said}")
    show(values, "\n".join(lines), args.json)
    return 0
