"""Who is on the shoot, where it is, and what comes by truck."""

from typing import Annotated

from pydantic import Field

from studiotimer.prep.parts import Name, Said
from studiotimer.prep.plan_numbers import Sheet
from studiotimer.prep.times import Day, TimeOfDay


class Person(Sheet):
    """One person: what they are on this shoot ("stylist", "producer", "client"), and how to reach them."""

    role: Name
    name: Said = ""
    phone: Said = ""
    email: Said = ""


class Place(Sheet):
    """Where the studio is. City, or latitude and longitude [degrees, north and east positive], tell its sunset."""

    studio: Said = ""
    address: Annotated[Said, Field(max_length=200)] = ""
    city: Said = ""
    latitude: Annotated[float, Field(ge=-90, le=90)] | None = None
    longitude: Annotated[float, Field(ge=-180, le=180)] | None = None


class Delivery(Sheet):
    """The truck with the product: whose, when it comes, whom to ring, and how many cartons it brings."""

    supplier: Said = ""
    contact: Said = ""
    phone: Said = ""
    email: Said = ""
    order_by: Day | None = None
    day: Day | None = None
    from_time: TimeOfDay | None = None
    to_time: TimeOfDay | None = None
    cartons: Annotated[int, Field(ge=1, le=1000)] | None = None
