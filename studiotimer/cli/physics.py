"""The commands that ask the physics: life, freezer, temper, dryice, co2."""

from __future__ import annotations

import argparse
import math
from typing import TYPE_CHECKING, Any

from studiotimer.cli import BadInputError, Commands, show
from studiotimer.units import (
    CHANGES,
    HOURS,
    MASS,
    MASS_RATE,
    TEMPERATURE,
    TIME,
    VOLUME,
    Quantity,
    duration,
    fraction,
    parse,
    temperature,
)

if TYPE_CHECKING:
    from studiotimer.thermal.foot import Foot
    from studiotimer.thermal.mix import Mix
    from studiotimer.thermal.pack import Sweat
    from studiotimer.thermal.scoop import Build, Piece
    from studiotimer.thermal.surroundings import Surroundings

WIDTH = Quantity("length", "m", "65 mm or 2.5 in", 0.01, 0.2)
EDGE = Quantity("length", "m", "1.2 mm or 0.05 in", 0.0002, 0.01)
TUB_SIDE = Quantity("length", "m", "240 mm or 9.5 in", 0.02, 1.0)
DRAUGHT = Quantity("speed", "m/s", "0.2 m/s", 0.0, 5.0)

MIX_HELP = (
    "a class (superpremium, premium, regular, …) or a JSON file with a recipe or a carton label; example: premium"
)


def register(commands: Commands) -> None:
    """Add this group's commands."""
    _register_life(commands)
    freezer = command(commands, "freezer", _freezer, "the freezer setting that suits a mix", "--mix superpremium")
    freezer.add_argument("--mix", required=True, help=MIX_HELP)
    _register_temper(commands)
    _register_dryice(commands)
    _register_co2(commands)


def command(commands: Commands, name: str, run: Any, purpose: str, example: str) -> argparse.ArgumentParser:
    """Add a command and return it; `purpose` is what it shows, `example` what follows its name."""
    parser: argparse.ArgumentParser = commands.add_parser(
        name, help=purpose, description=f"Shows {purpose}.", epilog=f"example: studiotimer {name} {example}"
    )
    parser.add_argument("--json", action="store_true", help="print one JSON object instead of text")
    parser.set_defaults(run=run)
    return parser


def _register_life(commands: Commands) -> None:
    life = command(
        commands, "life", _life, "when a scoop changes on set: sheen, edges, first drip, slump",
        '--mix premium --from -16C --room 22C --humidity 45 --light "LED 2000 lx"',
    )  # fmt: skip
    add = life.add_argument
    add("--mix", required=True, help=MIX_HELP)
    add("--from", dest="start", required=True, metavar="TEMP", help="the freezer the scoop comes from; example: -16C")
    add("--room", required=True, metavar="TEMP", help="air and walls of the room; example: 22C")
    add("--humidity", default="45", metavar="PERCENT", help="relative humidity of the room, 0 to 100; example: 45 %%")
    add(
        "--light",
        default="none",
        help="flash, HMI, LED, daylight or tungsten, with an incident reading at the scoop or the usual one, or none; "
        'a flash with its modelling lamp; example: "LED 2000 lx", "tungsten EV 12", "flash, modelling 250 W at 1 m"',
    )
    add("--tone", default="pale", choices=("pale", "mid", "dark"), help="how light the product is; example: pale")
    add(
        "--form",
        default="scoop",
        help="what it is: scoop, quenelle, bar, sandwich, slice, cone or swirl, and its size, "
        'thickness first, height last; example: "bar 20 x 60 x 100 mm"',
    )
    add("--width", default="65mm", metavar="LENGTH", help="the scoop's diameter; example: 65mm")
    add("--edge", default="1.2mm", metavar="LENGTH", help="half the thickness of its ruffle; example: 1.2mm")
    add("--local-air", metavar="TEMP", help="the air at the set where dry ice chills it; example: 6C")
    add("--draught", default="0m/s", metavar="SPEED", help="air moving over the scoop; example: 0.2m/s")
    add("--box", metavar="TIME", help="time in the dry-ice box at -40 °C beforehand; example: 20min")
    add("--tray", metavar="TIME", help="time on the tray in the room's air, after the box; example: 2min")
    add("--carry", metavar="TIME", help="time carried through the room's air, last; example: 20s")
    add(
        "--on",
        metavar="WHAT",
        help="what it stands on: a plate (slate, glass, …), a frozen base, another scoop or a cone; a name that "
        "is not known is answered with all there are; example: slate",
    )
    add("--plate", metavar="LENGTH", help="the plate's thickness, as usual where not told; example: 8mm")
    add("--plate-at", metavar="TEMP", help="the plate's temperature, the room's where not told; example: 22C")
    add("--base", metavar="LENGTH", help="the diameter it stands on, 0.56 of its width where not told; example: 36mm")


def _register_temper(commands: Commands) -> None:
    temper = command(
        commands, "temper", _temper, "how long a tub needs in its freezer before the shoot",
        "--mix premium --across 240mm --depth 250mm --delivered -8C --freezer -16C",
    )  # fmt: skip
    add = temper.add_argument
    add("--mix", required=True, help=MIX_HELP)
    add(
        "--across",
        required=True,
        metavar="LENGTH",
        help="the tub's diameter, or width if rectangular; example: 240mm",
    )
    add("--depth", required=True, metavar="LENGTH", help="the tub's depth; example: 250mm")
    add("--along", metavar="LENGTH", help="a rectangular tub's length; leave out for a round tub; example: 300mm")
    add("--delivered", required=True, metavar="TEMP", help="its temperature when it arrives; example: -8C")
    add("--freezer", required=True, metavar="TEMP", help="the freezer's temperature; example: -16C")


def _register_dryice(commands: Commands) -> None:
    dryice = command(
        commands, "dryice", _dryice, "how much of a charge of dry ice is left, and what it makes of the air at the set",
        "--mass 2kg --form slab --room 22C --hours 3",
    )  # fmt: skip
    add = dryice.add_argument
    add("--mass", required=True, help="the charge; example: 2kg")
    add("--form", default="slab", choices=("slab", "pellets", "crushed"), help="its form; example: slab")
    add("--room", required=True, metavar="TEMP", help="the room's air; example: 22C")
    add("--hours", required=True, metavar="TIME", help="time since it was put out, in hours; example: 3")
    add(
        "--reading",
        metavar="TEMP",
        help="a thermometer beside the scoop at that time, to set the estimate right; example: 9C",
    )


def _register_co2(commands: Commands) -> None:
    co2 = command(
        commands, "co2", _co2, "an estimate of the CO₂ in a room where dry ice turns to gas",
        "--source 0.5kg/h --volume 120m3 --changes 2/h --hours 4",
    )  # fmt: skip
    add = co2.add_argument
    add("--source", required=True, metavar="RATE", help="dry ice turning to gas; example: 0.5kg/h")
    add("--volume", required=True, help="the room's volume; example: 120m3")
    add("--changes", required=True, metavar="RATE", help="how often its air is renewed; example: 2/h")
    add("--hours", required=True, metavar="TIME", help="for how long, in hours; example: 4")
    add("--room", default="20C", metavar="TEMP", help="the room's air; example: 20C")
    add("--start", type=float, default=420.0, metavar="PPM", help="CO₂ at the beginning; example: 420")


def _life(args: argparse.Namespace) -> int:
    from studiotimer import forms
    from studiotimer.lamps import parse_light
    from studiotimer.thermal.pack import sweat
    from studiotimer.thermal.scoop import Piece, changes
    from studiotimer.thermal.surroundings import carrying, cold_store

    mix = mix_of(args.mix)
    start = parse(args.start, TEMPERATURE, "from")
    dark_room = _room(args, 0.0)
    light = parse_light(args.light)
    on_set = _on_set(args, 0.0 if light is None else light.absorbed(args.tone))
    build = forms.build(args.form, parse(args.width, WIDTH, "width"), parse(args.edge, EDGE, "edge"))
    places = (("box", cold_store(-40.0)), ("tray", dark_room), ("carry", carrying(dark_room)))
    history = [Piece(around, parse(getattr(args, name), TIME, name)) for name, around in places if getattr(args, name)]
    if build.body.wall_m2k_w:
        return _wall(args, sweat(mix, build.body, start, on_set, history))
    foot = _foot(args, mix, start, history, build, on_set.air_c)
    found = changes(mix, start, on_set, history, build)
    named = {
        "sheen": found.sheen_s, "edges": found.edges_s, "first drip": found.first_drip_s, "slump": found.slump_s
    }  # fmt: skip
    lines = [
        f"{name:<12}{duration(round(span, 1)) if math.isfinite(span) else 'not within 3 h'}"
        for name, span in named.items()
    ]
    values = {f"{name.replace(' ', '_')}_s": _or_none(span, 1) for name, span in named.items()}
    if args.on:
        lines.append(f"{'foot':<12}{_foot_words(foot)}")
        values |= _foot_values(foot)
    show(values, "\n".join(lines), args.json)
    return 0


def _wall(args: argparse.Namespace, found: Sweat) -> int:
    """Tell what a closed pack shows outside."""
    named = {"frost": found.frost_s, "dew beads": found.dew_s, "dew runs": found.runs_s}
    lines = [f"{name:<12}{duration(span) if math.isfinite(span) else 'not within 3 h'}" for name, span in named.items()]
    lines.append(f"the wall stays bare above {temperature(found.bare_above_c)}; wiped, it begins anew")
    values: dict[str, object] = {f"{name.replace(' ', '_')}_s": _or_none(span, 1) for name, span in named.items()}
    show(values | {"bare_above_c": round(found.bare_above_c, 2)}, "\n".join(lines), args.json)
    return 0


def _foot(
    args: argparse.Namespace, mix: Mix, start: float, history: list[Piece], build: Build, air_c: float
) -> Foot | None:  # fmt: skip
    """Return when the scoop's foot shows; None where nothing was told of what it stands on, or it has none."""
    if not args.on:
        for name in ("plate", "plate_at", "base"):
            if getattr(args, name):
                raise BadInputError(
                    f"{name.replace('_', '-')}: it is not told what the scoop stands on; add --on slate"
                )
        return None
    from studiotimer import plates
    from studiotimer.thermal.foot import BASE_SHARE, Base, foot, standing_c

    thick = parse(args.plate, plates.THICKNESS, "plate") if args.plate else None
    at_c = parse(args.plate_at, TEMPERATURE, "plate-at") if args.plate_at else parse(args.room, TEMPERATURE, "room")
    across = parse(args.base, plates.BASE, "base") if args.base else 2 * BASE_SHARE * build.width_m
    plate = plates.plate(args.on, thick, at_c)
    if plate is None:
        return None
    return foot(Base(mix, standing_c(mix, start, history, build.body), plate, across / 2, air_c))


def _foot_values(foot: Foot | None) -> dict[str, float | None]:
    """Return a foot as JSON values; None where it has none, or not within 15 min."""
    named = {"foot_s": foot.seconds, "foot_sooner_s": foot.sooner, "foot_later_s": foot.later} if foot else {}
    return {name: _or_none(named.get(name, math.inf), 1) for name in ("foot_s", "foot_sooner_s", "foot_later_s")}


def _foot_words(foot: Foot | None) -> str:
    if foot is None:
        return "none of its own"
    if not math.isfinite(foot.seconds):
        return "not within 15 min" + (f" (or from {duration(foot.sooner)})" if math.isfinite(foot.sooner) else "")
    later = duration(foot.later) if math.isfinite(foot.later) else "over 15 min"
    return f"{duration(foot.seconds)} ({duration(foot.sooner)} to {later})"


def _room(args: argparse.Namespace, absorbed: float) -> Surroundings:
    from studiotimer.thermal.surroundings import room

    air = parse(args.room, TEMPERATURE, "room")
    return room(air, fraction(args.humidity, "humidity"), absorbed, parse(args.draught, DRAUGHT, "draught"))


def _on_set(args: argparse.Namespace, absorbed: float) -> Surroundings:
    from studiotimer.thermal.surroundings import chilled

    around = _room(args, absorbed)
    if not args.local_air:
        return around
    local = parse(args.local_air, TEMPERATURE, "local-air")
    if local > around.air_c:
        raise BadInputError(f"local-air: {local:g} °C is not possible; give at most the room's {around.air_c:g} °C")
    return chilled(around, local)


def _freezer(args: argparse.Namespace) -> int:
    from studiotimer.thermal.criteria import yield_layer_m
    from studiotimer.thermal.firmness import advised_freezer_c

    mix = mix_of(args.mix)
    advised, layer_mm = advised_freezer_c(mix), 1000.0 * yield_layer_m(mix)
    text = f"{mix.name}: freezer at {temperature(advised, digits=1)} ({temperature(advised, 'US')})"
    stands = f"structure (network) {mix.network:.2f} of 0.85: melted, a layer of {layer_mm:.1f} mm stays on a slope"
    values = {"advised_c": round(advised, 2), "network": round(mix.network, 3), "yield_layer_mm": round(layer_mm, 3)}
    show(values, f"{text}\n{stands}", args.json)
    return 0


def _temper(args: argparse.Namespace) -> int:
    from studiotimer.thermal.tub import Tub, advised_hours, tempering_hours

    mix = mix_of(args.mix)
    along = parse(args.along, TUB_SIDE, "along") if args.along else None
    tub = Tub(parse(args.across, TUB_SIDE, "across"), parse(args.depth, TUB_SIDE, "depth"), along)
    delivered = parse(args.delivered, TEMPERATURE, "delivered")
    model = tempering_hours(mix, tub, delivered, parse(args.freezer, TEMPERATURE, "freezer"))
    advised = advised_hours(model)
    if math.isfinite(model):
        text = f"forecast {model:.1f} h; plan {math.ceil(advised)} h or more (24 h at least is common practice)"
    else:
        text = "not tempered within 90 days"
    show({"model_h": _or_none(model, 2), "advised_h": _or_none(advised, 2)}, text, args.json)
    return 0


def _dryice(args: argparse.Namespace) -> int:
    from studiotimer.thermal import dryice
    from studiotimer.thermal.charge import CAUTIONS, Charge

    charge = Charge(parse(args.mass, MASS, "mass"), args.form)
    room_c = parse(args.room, TEMPERATURE, "room")
    seconds = _hours(args.hours)
    left = float(dryice.left_kg(charge, room_c, seconds))
    heat = float(dryice.heat_taken_w([charge], room_c, seconds))
    values: dict[str, object] = {"left_kg": round(left, 6)}
    link = dryice.LINK_K_W
    if args.reading:
        if heat <= 0.0:
            raise BadInputError("reading: no dry ice is left by then, so a reading says nothing of its effect")
        link = dryice.link_from_reading(room_c, parse(args.reading, TEMPERATURE, "reading"), heat)
        values["link_k_w"] = round(link, 4)
    local = float(dryice.local_air_c(room_c, heat, link))
    lasts = dryice.lasts_s(charge, room_c)
    values |= {"local_air_c": round(local, 3), "heat_w": round(heat, 3), "lasts_h": _or_none(lasts / 3600.0, 3)}
    values["cautions"] = list(CAUTIONS)
    how_long = f"{lasts / 3600.0:.1f} h in all" if math.isfinite(lasts) else "for good, at that temperature"
    text = f"left {left:.2f} kg (it lasts {how_long}); air at the set about {temperature(local)}"
    show(values, "\n".join([text, *CAUTIONS]), args.json)
    return 0


def _co2(args: argparse.Namespace) -> int:
    from studiotimer.thermal import co2
    from studiotimer.thermal.charge import CAUTIONS, LIMITS_PPM, LIMITS_SOURCE

    if not (math.isfinite(args.start) and 0.0 <= args.start <= 1e6):
        raise BadInputError(f"start: {args.start:g} ppm is not possible; give 0 to 1,000,000 ppm")
    source = parse(args.source, MASS_RATE, "source")
    volume = parse(args.volume, VOLUME, "volume")
    changes = parse(args.changes, CHANGES, "changes")
    room_c = parse(args.room, TEMPERATURE, "room")
    ppm = float(
        co2.ppm_after(args.start, source, _hours(args.hours), volume_m3=volume, changes_per_s=changes, room_c=room_c)
    )
    values = {"ppm": round(ppm, 1), "limits_ppm": dict(LIMITS_PPM), "cautions": list(CAUTIONS)}
    limits = ", ".join(f"{limit:,.0f} ppm {name}" for name, limit in LIMITS_PPM.items())
    text = f"about {ppm:,.0f} ppm, an estimate and never an all-clear; limits: {limits} ({LIMITS_SOURCE})"
    show(values, "\n".join([text, *CAUTIONS]), args.json)
    return 0


def mix_of(text: str) -> Mix:
    """Return the mix of a class or a file; raises BadInputError where there is none."""
    from studiotimer.mixes import find_mix
    from studiotimer.thermal.mix import MixError

    try:
        return find_mix(text)
    except MixError as error:
        raise BadInputError(str(error)) from None


def _hours(text: str) -> float:
    """Return seconds from a number of hours, or a time with its unit."""
    return parse(text, HOURS._replace(high=10_000.0 * 3600.0), "hours")


def _or_none(value: float, digits: int) -> float | None:
    return round(value, digits) if math.isfinite(value) else None
