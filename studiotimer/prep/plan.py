"""The plan of a shoot: what the crew decides days before, as models kept in a JSON file."""

import datetime as dt
import json
import zoneinfo
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, PlainSerializer, ValidationError, model_validator

from studiotimer import units
from studiotimer.errors import InputError
from studiotimer.files import write_all
from studiotimer.prep.looks import Look
from studiotimer.prep.parts import (
    DryIce,
    Flavour,
    Hero,
    Learned,
    Name,
    Said,
    Shot,
    Sold,
    Step,
    Studio,
    Tub,
)
from studiotimer.prep.people import Delivery, Person, Place
from studiotimer.prep.plan_numbers import (
    SNAPSHOT,
    Edge,
    Frozen,
    Hours,
    Minutes,
    Percent,
    ScoopWidth,
    Share,
    Sheet,
    Span,
    Written,
    written,
)
from studiotimer.prep.plan_problems import Problem, problems_of
from studiotimer.prep.slots import USUAL_BOX, USUAL_TRAY
from studiotimer.prep.times import Day, TimeOfDay, in_a_plan, today

__all__ = [
    "VERSION", "Delivery", "DryIce", "Flavour", "Hero", "Learned", "Look", "Person", "Place", "Plan",
    "PlanError", "Shot", "Sold", "Step", "Studio", "Tub", "in_a_plan", "parse_plan", "plan_text",
    "quick_plan", "save_plan", "today", "written_in",
]  # fmt: skip

VERSION = 2
"""Raised with each field that is new: an earlier program then says that a newer one is wanted, not that it is wrong."""


def _of_today(version: object) -> object:
    """Return the version that a plan of an earlier one is written in once it is opened: what it lacks has defaults."""
    return VERSION if type(version) is int and 1 <= version < VERSION else version


class PlanError(InputError):
    """A plan cannot be used; the message is one sentence naming the field, `problems` has all of them."""

    def __init__(self, message: str, problems: list[Problem] | None = None) -> None:
        super().__init__(message)
        self.problems = problems or []


def _names(value: object) -> object:
    return [name.strip() for name in value.split(",") if name.strip()] if isinstance(value, str) else value


def _with_commas(names: list[str]) -> str:
    return ", ".join(names)


FreezerNames = Annotated[
    list[Name], BeforeValidator(_names), PlainSerializer(_with_commas, return_type=str), Field(max_length=20)
]
"""Names with a comma between them: "chest, upright"."""


class Plan(Sheet):
    """A whole shoot. Every field but the flavours and shots has a workable default."""

    version: Annotated[Literal[2], BeforeValidator(_of_today)] = 2
    title: Name = "Untitled shoot"
    client: Said = ""
    date: Day = Field(default_factory=today)
    call_time: TimeOfDay = dt.time(9, 0)
    timezone: str | None = None
    place: Place = Field(default_factory=Place)
    people: Annotated[list[Person], Field(max_length=40)] = Field([])
    lunch_at: TimeOfDay | None = None
    """When lunch is, at the earliest: between two groups of heroes, never through one. None: no lunch is planned."""
    lunch_s: Minutes = Written(2700.0, "45 min")
    hero_takes_s: Minutes | None = None
    """From one hero in to the next, as past sessions took it; it counts where it is longer than what is worked out."""
    room: Studio = Field(default_factory=Studio)
    flavours: Annotated[list[Flavour], Field(min_length=1, max_length=60)]
    shots: Annotated[list[Shot], Field(min_length=1, max_length=200)]
    tub: Tub = Field(default_factory=lambda: Tub(size="3 gallon"))
    width_m: ScoopWidth = Written(0.065, "65 mm")
    edge_m: Edge = Written(0.0012, "1.2 mm")
    pull_to_set_s: Span = Written(75.0, "75 s")
    pull_s: Span = Written(30.0, "30 s")
    carry_s: Span = Written(15.0, "15 s")
    good_share: Share = Written(1 / 3, "1 in 3")
    confidence: Annotated[Percent, Field(gt=0, lt=1)] = Written(0.95, "95 %")
    delivered_c: Frozen = Written(-18.0, "-18 °C")
    delivery: Delivery = Field(default_factory=Delivery)
    freezer_c: Frozen | None = None
    freezers: FreezerNames = Field([])
    """What the freezers are called, freezer 1 first; one without a name is “freezer 2” by its number."""
    dry_ice: DryIce = Field(default_factory=DryIce)
    learned: dict[str, Learned] = Field({})
    carried: Annotated[list[Said], Field(max_length=60)] = Field([])
    """What the last shoot changed in this plan, each with its reason; people read it, nothing is reckoned from it."""
    test_pulls_before_s: Hours = Written(3600.0, "1 h")
    stand_ins_before_s: Minutes = Written(1800.0, "30 min")
    freezer_pull_down_s: Hours = Written(43200.0, "12 h")
    reset_s: Minutes = Written(180.0, "3 min")
    checklist: dict[str, list[str]] | None = None

    @property
    def carried_s(self) -> float:
        """Return the planned seconds of the way to the set, no more than the plan has from pull to set."""
        return min(float(self.carry_s), float(self.pull_to_set_s))

    def freezer_name(self, number: int) -> str:
        """Return what the freezer of that number is called."""
        return self.freezers[number - 1] if number <= len(self.freezers) else f"freezer {number}"

    @property
    def freezer_names(self) -> dict[int, str]:
        """Return the name of each freezer by its number: those that hold a flavour and those named."""
        numbers = {flavour.freezer for flavour in self.flavours} | set(range(1, len(self.freezers) + 1))
        return {number: self.freezer_name(number) for number in sorted(numbers)}

    @model_validator(mode="after")
    def _names_agree(self) -> Self:
        for field, names in (
            ("flavours", [each.name for each in self.flavours]),
            ("shots", [each.name for each in self.shots]),
            ("freezers", list(self.freezer_names.values())),
        ):
            twice = next((name for name in names if names.count(name) > 1), None)
            if twice is not None:
                raise ValueError(f"{field}: the name “{twice}” is used twice; give each its own name")
        known = [flavour.name for flavour in self.flavours]
        for shot in self.shots:
            for hero in shot.heroes:
                if hero.flavour not in known:
                    raise ValueError(
                        f"shot {shot.name}, heroes: there is no flavour “{hero.flavour}”; "
                        f"write one of {', '.join(known)}"
                    )
        if self.timezone is not None:
            try:
                zoneinfo.ZoneInfo(self.timezone)
            except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
                raise ValueError(f"timezone: “{self.timezone}” is not known; write it like Europe/Paris") from None
        return self

    @property
    def call(self) -> dt.datetime:
        """Return the call time as a plain local date and time."""
        return dt.datetime.combine(self.date, self.call_time)

    def flavour(self, name: str) -> Flavour:
        """Return the flavour called `name`; raises KeyError when the plan has none."""
        for flavour in self.flavours:
            if flavour.name == name:
                return flavour
        raise KeyError(name)

    def shot(self, name: str) -> Shot:
        """Return the shot called `name`; raises KeyError when the plan has none."""
        found = self.shot_named(name)
        if found is None:
            raise KeyError(name)
        return found

    def shot_named(self, name: str | None) -> Shot | None:
        """Return the shot of that name; None where none has it."""
        return next((shot for shot in self.shots if shot.name == name), None)

    def snapshot(self) -> dict[str, object]:
        """Return the plan as JSON values with its SI numbers beside their texts, for a session file."""
        return self.model_dump(mode="json", context={"form": SNAPSHOT})

    @classmethod
    def from_snapshot(cls, values: dict[str, object]) -> "Plan":
        """Return the plan a session file keeps; raises PlanError when it is not one."""
        return _validated(values, SNAPSHOT)


def parse_plan(values: object, style: units.Style | None = None) -> Plan:
    """Return the plan in JSON `values` as a plan file has them; raises PlanError naming every bad field.

    With a style, a number without a unit means the unit shown in it; a file's numbers need theirs.
    """
    return _validated(values, "file", style)


def written_in(plan: Plan) -> units.Style:
    """Return the units a plan is written in: US where its room or its delivery is in °F."""
    texts = [written(value).upper().rstrip(". ") for value in (plan.room.air_c, plan.delivered_c)]
    return "US" if any(text.endswith(("F", "FAHRENHEIT")) for text in texts) else "metric"


def plan_text(plan: Plan) -> str:
    """Return the plan as the text of a plan file, ending in a newline."""
    values = plan.model_dump(mode="json", exclude_none=True)
    return json.dumps(values, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def save_plan(plan: Plan, path: Path | str) -> None:
    """Write the plan to `path`, its folder made, whole or not at all: a failure leaves the old file. Raises OSError."""
    write_all(Path(path).parent, {Path(path).name: plan_text(plan).encode("utf-8")})


def quick_plan(flavour_name: str, mix: str, look: Look, room_c: float, light: str, date: dt.date | None = None) -> Plan:
    """Return a plan made of four answers and defaults: one flavour, one shot, one hero.

    `room_c` is in °C. Raises PlanError naming the answer that cannot be used.
    """
    return parse_plan(
        {
            "title": flavour_name,
            "date": (date or today()).isoformat(),
            "room": {"air_c": room_c},
            "flavours": [{"name": flavour_name, "mix": mix}],
            "dry_ice": {"box_grid": USUAL_BOX, "tray_grid": USUAL_TRAY},
            "shots": [{"name": flavour_name, "look": look, "light": light, "heroes": [{"flavour": flavour_name}]}],
        }
    )


def _validated(values: object, form: str, style: units.Style | None = None) -> Plan:
    if not isinstance(values, dict):
        raise PlanError("plan: this is not a plan; it must be a JSON object with flavours and shots")
    version = values.get("version", VERSION)
    if isinstance(version, int) and version > VERSION:
        raise PlanError(
            f"version: this plan was made by a newer studiotimer (plan version {version}, this one reads "
            f"up to {VERSION}); install a newer studiotimer to open it"
        )
    try:
        return Plan.model_validate(values, context={"form": form, "style": style})
    except ValidationError as error:
        problems = problems_of(error, values)
        raise PlanError(problems[0].sentence, problems) from None
