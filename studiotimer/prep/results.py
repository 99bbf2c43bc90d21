"""Everything that follows from a plan, in one piece: the Prep page and the printed sheet read it."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from studiotimer import units
from studiotimer.prep.arrival import Arrival, planned_arrival
from studiotimer.prep.checklist import Lists, checklist_of
from studiotimer.prep.cold import Freezer, freezers_of, settings, tempering
from studiotimer.prep.day import Day, day_of
from studiotimer.prep.daylight import Sun, by_window, sun_of
from studiotimer.prep.doubts import doubts
from studiotimer.prep.found import OWN_RULE, Found
from studiotimer.prep.ice_needed import Ice, ice_of
from studiotimer.prep.order import Ordered, order_of
from studiotimer.prep.plan import Plan
from studiotimer.prep.pulls_needed import Kind, Product, all_pulls, kinds_of, products
from studiotimer.prep.runsheet import Event, run_sheet
from studiotimer.prep.shots import ShotResult, shots_of
from studiotimer.prep.split import split_of
from studiotimer.prep.steps import with_steps

SLOT_TIMES = ("start", "locks", "heroes", "over", "end", "early", "late")


@dataclass(frozen=True)
class Results:
    """A plan and what follows from it."""

    plan: Plan
    style: units.Style
    freezers: tuple[Freezer, ...]
    settings: dict[str, Found]
    split: Found | None
    tempering: Found
    product_in: Found
    freezer_on: Found
    shots: tuple[ShotResult, ...]
    products: tuple[Product, ...]
    pulls: Found
    ice: Ice | None
    day: Day
    run_sheet: tuple[Event, ...]
    checklist: Lists
    kinds: tuple[Kind, ...]
    order: tuple[Ordered, ...]
    sun: Sun | None
    """The sun's day where a shot is lit by daylight and place and time zone are known."""
    truck: Arrival | None

    @property
    def warnings(self) -> list[str]:
        """Return what makes the whole day doubtful, a sentence each."""
        return doubts(self.plan, self.day, self.sun, self.truck)

    @property
    def ends(self) -> Found:
        """Return when the day's last shot may end; its value is the planned end, seconds after the call."""
        early, late = self.day.ends
        planned = self.day.slots[-1].end
        return Found(
            (planned - self.day.call).total_seconds(),
            f"{early:%H:%M} to {late:%H:%M}",
            f"the last shot ends {planned:%H:%M} as planned; on one day in ten before {early:%H:%M}, on one after "
            f"{late:%H:%M}",
            f"{OWN_RULE}: every span goes 30 % from what is planned, and one shot in four takes a group more",
        )

    @property
    def mix_names(self) -> dict[str, str]:
        """Return what each flavour's mix is called, by flavour."""
        return {flavour.name: flavour.mix_name for flavour in self.plan.flavours}

    def temperature(self, celsius: float) -> str:
        """Return a temperature as these results show them."""
        return units.temperature(celsius, self.style)

    def as_json(self) -> dict[str, object]:
        """Return the results as JSON values; what cannot be a number is null."""
        values = {
            "title": self.plan.title,
            "call": self.day.call.isoformat(),
            "freezers": [each.as_json() for each in self.freezers],
            "better_split": self.split.as_json() if self.split else None,
            "tempering": self.tempering.as_json(),
            "product_in": self.product_in.as_json() | {"at": self.day.product_in.isoformat()},
            "freezer_on": self.freezer_on.as_json() | {"at": self.day.freezer_on.isoformat()},
            "shots": [each.as_json() for each in self.shots],
            "products": [each.as_json() for each in self.products],
            "pulls": self.pulls.as_json(),
            "dry_ice": self.ice.as_json() if self.ice else None,
            "run_sheet": [
                {"at": each.at.isoformat(), "what": each.what, "who": each.who, "note": each.note}
                for each in self.run_sheet
            ],
            "checklist": self.checklist,
            "carried": self.plan.carried,
            "tubs": [each.as_json() for each in self.kinds],
            "order": [each.as_json() for each in self.order],
            "slots": [
                {
                    "shot": slot.shot.name,
                    **{name: getattr(slot, name).isoformat() for name in SLOT_TIMES},
                }
                for slot in self.day.slots
            ],
            "lunch": [each.isoformat() for each in self.day.lunch] if self.day.lunch else None,
            "ends": self.ends.as_json(),
            "daylight": self.sun.found.as_json() if self.sun else None,
            "warnings": self.warnings,
        }
        return {name: _finite(value) for name, value in values.items()}


def results_of(plan: Plan, style: units.Style = "metric") -> Results:
    """Return everything that follows from a plan.

    Raises PlanError naming the field when a mix, a light or a tub is not known.
    """
    cold = freezers_of(plan, style)
    temper = tempering(plan, style)
    shots = shots_of(plan, style)
    groups = {shot.name: int(shot.groups.value or 0) for shot in shots}
    needs = products(plan, groups, style)
    day = day_of(plan, temper.value or 0.0, {shot.name: (groups[shot.name], shot.group_s) for shot in shots})
    ice = ice_of(plan, day, style)
    freezers_said = " and ".join(dict.fromkeys(each.setting.text for each in cold))
    top_ups = _top_ups(ice, style)
    sun = sun_of(plan) if any(by_window(shot) for shot in plan.shots) else None
    pulls = {each.flavour: int(each.pulls.value or 0) for each in needs}
    return Results(
        plan,
        style,
        cold,
        settings(plan, cold),
        split_of(plan, style),
        temper,
        _product_in(day, temper),
        _freezer_on(plan, day),
        shots,
        needs,
        all_pulls(plan, needs),
        ice,
        day,
        with_steps(run_sheet(plan, day, f"set to {freezers_said}", temper.how, top_ups, pulls, sun), day, style),
        checklist_of(plan),
        kinds_of(needs),
        order_of(plan, day, needs, ice, groups, style),
        sun,
        planned_arrival(plan, style),
    )


def dates_past(plan: Plan, results: Results, now: dt.datetime) -> list[str]:
    """Return a sentence for each date of the plan that lies before `now` (plain local time)."""
    if plan.call < now and plan.call.date() == now.date():
        return [f"date: {_moment(plan.call)} is past today; write a later call time, or a later day"]
    if plan.call < now:
        return [
            f"date: {_moment(plan.call)} is past; write the day of the shoot, {units.date_words(now, False)} or later"
        ]
    day = results.day
    if day.product_in < now:
        latest = _whole(results.tempering.value or 0.0)
        return [
            f"date: product must be in by {_moment(day.product_in)}, which is past; shoot later, or get product "
            f"that has stood {latest} h at the freezer's setting"
        ]
    if day.freezer_on < now:
        return [f"date: freezers must be on by {_moment(day.freezer_on)}, which is past; use one that is cold"]
    return []


def _moment(at: dt.datetime) -> str:
    return f"{units.date_words(at, False)}, {at:%H:%M}"


def run_sheet_times(results: Results) -> list[str]:
    """Return the time of each row of the run sheet, the first of every day with its day."""
    times, before = [], None
    for event in results.run_sheet:
        day = event.at.date()
        times.append(f"{event.at:%H:%M}" if day == before else units.moment_words(event.at))
        before = day
    return times


def day_text(at: dt.datetime, call: dt.datetime) -> str:
    """Return a time as the run sheet has it: with its day unless that is the day of the shoot."""
    return f"{at:%H:%M}" if at.date() == call.date() else units.moment_words(at)


def _product_in(day: Day, temper: Found) -> Found:
    seconds = (day.test_pulls - day.product_in).total_seconds()
    how = f"{temper.how}; counted back from the test pulls at {day.test_pulls:%H:%M}"
    return Found(seconds, day_text(day.product_in, day.call), how, temper.source)


def _freezer_on(plan: Plan, day: Day) -> Found:
    hours = plan.freezer_pull_down_s / 3600
    how = f"{hours:g} h before the product, so that the freezer is cold when it comes"
    seconds = (day.product_in - day.freezer_on).total_seconds()
    return Found(seconds, day_text(day.freezer_on, day.call), how, f"{OWN_RULE}: measure your freezer once")


def _top_ups(ice: Ice | None, style: units.Style) -> list[tuple[dt.datetime, str]]:
    if ice is None:
        return []
    return [
        (each.at, f"{'Top-up' if number else 'Dry ice on set'}, {_laid_out(each.mass_kg, style)}")
        for number, each in enumerate(ice.charges)
    ]


def _laid_out(mass_kg: float, style: units.Style) -> str:
    """Return a charge's mass; below a kilogram in grams, to 10 g, below a pound in ounces."""
    if style == "metric" and mass_kg < 0.995:
        return f"{round(mass_kg * 100) * 10} g"
    if style == "US" and mass_kg < units.KG_PER_LB:
        return f"{mass_kg / units.KG_PER_LB * 16:.0f} oz"
    return units.mass(mass_kg, style, 1)


def _whole(seconds: float) -> int:
    return math.ceil(seconds / 3600)


def _finite(value: object) -> object:
    if isinstance(value, dict):
        return {key: _finite(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_finite(each) for each in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
