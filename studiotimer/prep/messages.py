"""Messages ready to send: to the client, the photographer and the dry-ice supplier; as text, and as mail to open."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import formataddr

from studiotimer import units
from studiotimer.prep.cautions import DRY_ICE
from studiotimer.prep.found import counted
from studiotimer.prep.order import Ordered, truck_comes
from studiotimer.prep.plan import Person
from studiotimer.prep.results import Results

CLIENT, PHOTOGRAPHER, SUPPLIER = "client", "photographer", "supplier"


@dataclass(frozen=True)
class Message:
    """One message: to whom (name and mail address, each empty where nobody said), about what, and its text."""

    to: str
    name: str
    email: str
    subject: str
    body: str

    @property
    def file_name(self) -> str:
        """Return the name of its text file."""
        return f"to_{self.to}.txt"

    @property
    def text(self) -> str:
        """Return the message as a text that says what it is about."""
        return f"{self.subject}\n\n{self.body}"

    def eml(self, made: dt.datetime) -> bytes:
        """Return it as mail (RFC 5322) for a mail program to open; `made` (aware) is its date. Nothing is sent."""
        mail = EmailMessage(policy=SMTP)
        mail["Subject"] = self.subject
        if "@" in self.email and not set(self.email) & set(" <>,;\"'()[]\\"):
            mail["To"] = formataddr((self.name, self.email))
        mail["Date"] = made
        mail.set_content(self.body, cte="quoted-printable")
        return mail.as_bytes()


def messages_of(results: Results) -> tuple[Message, ...]:
    """Return the messages of a plan: to the client, the photographer and the supplier.

    The supplier is that of the dry ice; where none is used, that of the product.
    """
    plan, title = results.plan, results.plan.title
    about = f"{title}: {_day(results.day.call)}"
    client, photographer = (_person(results, role) for role in (CLIENT, PHOTOGRAPHER))
    ice = plan.dry_ice if results.ice is not None else plan.delivery
    what = "dry ice" if results.ice is not None else "product"
    return (
        Message(CLIENT, client.name or plan.client, client.email, about, _text(_to_client(results))),
        Message(PHOTOGRAPHER, photographer.name, photographer.email, about, _text(_to_photographer(results))),
        Message(
            SUPPLIER, ice.contact or ice.supplier, ice.email, f"Order of {what}, {about}", _text(_to_supplier(results))
        ),
    )  # fmt: skip


def studio_needs(results: Results) -> list[str]:
    """Return what the studio must have, a sentence each (common practice)."""
    plan, day = results.plan, results.day
    names = ", ".join(each.name for each in results.freezers)
    since = _moment(day.freezer_on)
    needs = [
        f"Power, day and night from {since}: a socket on a circuit of its own for each of "
        f"{counted(len(results.freezers), 'freezer')} ({names}), which nobody switches off."
    ]
    if results.ice is not None:
        changes = f"{plan.room.changes_per_s * 3600:g} air changes an hour are counted on"
        needs.append(f"Ventilation that runs, and doors that open: {changes}. Low places fill first.")
        monitor = "is planned to be there" if plan.dry_ice.co2_monitor else "must be brought or hired"
        needs.append(f"A CO₂ monitor with an alarm, near the floor where people work: it {monitor}.")
        needs.append(f"Estimated CO₂ in the room: {results.ice.co2.text}.")
    needs.append("A clean table beside the freezers, and a way from there to the set with nothing in it.")
    return needs


def _to_client(results: Results) -> Iterator[str]:
    plan, day = results.plan, results.day
    yield from _opening(results)
    yield "The day"
    yield f"- Call time {day.call:%H:%M}, last shot ends {results.ends.text}, wrap about {day.wrap:%H:%M}."
    for slot in day.slots:
        approval = f", your approval about {slot.over:%H:%M}" if slot.end > slot.over else ""
        yield f"- {slot.shot.name}: heroes from {slot.heroes:%H:%M}{approval}."
    yield ""
    yield "Product"
    for kind in results.kinds:
        yield f"- {kind.text}, spare tubs among them"
    yield f"- At {results.temperature(plan.delivered_c)} or colder when it comes, never softened and frozen again."
    yield f"- There {_truck(results)}; at the latest {_moment(day.product_in)}: {results.tempering.how}."
    if plan.delivery.cartons:
        cartons = counted(plan.delivery.cartons, "carton")
        yield f"- {cartons} expected; they are counted and a temperature is read at the door."
    yield ""
    yield "The studio must have"
    yield from (f"- {need}" for need in studio_needs(results))
    yield from _iced(results)
    if results.warnings:
        yield ""
        yield "To be settled"
        yield from (f"- {warning[0].upper()}{warning[1:]}." for warning in results.warnings)


def _to_photographer(results: Results) -> Iterator[str]:
    yield from _opening(results)
    yield "Shots"
    for found, slot in zip(results.shots, results.day.slots, strict=True):
        shot = slot.shot
        window = found.iced or found.plain
        yield (
            f"- {shot.name}, {shot.look}, {shot.light}: locked by {slot.heroes:%H:%M}, ends {slot.early:%H:%M} to "
            f"{slot.late:%H:%M}. {counted(shot.takes, 'take')} of {counted(shot.frames, 'frame')}, one frame every "
            f"{shot.between_s:g} s. Each hero has the look {window.text} (min:s on set), {found.frames_fit.text} fit: "
            f"{found.verdict}."
        )
    if results.sun is not None:
        yield f"- Window light: {results.sun.found.text}, {results.sun.found.how}."
    yield ""
    yield "Please have light, set and camera locked before a hero comes: it waits for nobody."
    items = results.checklist.get("photographer", [])
    if items:
        yield ""
        yield "Please bring"
        yield from (f"- {item}" for item in items)
    yield from _iced(results)


def _to_supplier(results: Results) -> Iterator[str]:
    plan, day = results.plan, results.day
    if results.ice is None:
        yield "Please deliver:"
        yield from _lines(results, "product")
        yield f"It must be here {_truck(results)}, at {results.temperature(plan.delivered_c)} or colder."
        yield from _here(results)
        return
    sold = plan.dry_ice
    yield f"Please have ready: dry ice, {sold.form}, food grade: {results.ice.buy.text}."
    if day.ice_fetched is not None:
        yield f"We fetch it {_moment(day.ice_fetched)}; it is first used {_moment(day.ice_used or day.call)}."
    way = results.ice.way
    yield f"We expect {way.text} to be lost until then ({way.how}); tell us if yours loses more."
    if sold.order_by:
        yield f"This order is for {_day(dt.datetime.combine(sold.order_by, dt.time()))} at the latest."
    yield "Please send your safety data sheet with it: it hangs on the studio's wall and comes before this message."
    yield "It goes in an insulated box whose lid lets gas out, never in a closed car."
    yield from _here(results)
    yield from _iced(results)


def _lines(results: Results, kind: str) -> Iterator[str]:
    yield from (f"- {_line(line)}" for line in results.order if line.kind == kind)


def _line(line: Ordered) -> str:
    return f"{line.what}: {line.how_much}"


def _opening(results: Results) -> Iterator[str]:
    plan = results.plan
    where = ", ".join(part for part in (plan.place.studio, plan.place.address, plan.place.city) if part)
    yield f"{plan.title}, {_day(results.day.call)}, call time {results.day.call:%H:%M}" + (
        f", {where}." if where else "."
    )
    yield ""


def _here(results: Results) -> Iterator[str]:
    place = results.plan.place
    where = ", ".join(part for part in (place.studio, place.address, place.city) if part)
    if where:
        yield f"Studio: {where}."
    caller = _person(results, "producer")
    caller = caller if caller.phone else _person(results, "assistant")
    if caller.phone:
        yield f"On the day ring {caller.name or caller.role}, {caller.phone}."


def _iced(results: Results) -> Iterator[str]:
    if results.ice is not None:
        yield ""
        yield "Dry ice is used on this shoot"
        yield DRY_ICE


def _truck(results: Results) -> str:
    truck = results.plan.delivery
    if truck.day is None:
        return f"by {_moment(results.day.product_in)}"
    until = f" to {truck.to_time:%H:%M}" if truck.to_time and truck.from_time else ""
    whom = "".join(f", {part}" for part in (truck.contact, truck.phone) if part)
    return f"{_moment(truck_comes(results.plan, results.day))}{until}{whom}"


def _person(results: Results, role: str) -> Person:
    return next((one for one in results.plan.people if one.role.lower() == role), Person(role=role))


def _day(at: dt.datetime) -> str:
    return units.date_words(at.date())


def _moment(at: dt.datetime) -> str:
    return f"{at:%a} {at.day} {at:%b}, {at:%H:%M}"


def _text(lines: Iterator[str]) -> str:
    return "\n".join(lines) + "\n"
