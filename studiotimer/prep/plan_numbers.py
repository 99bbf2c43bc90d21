"""Numbers of a plan: SI floats that remember how a person wrote them, and the models that hold them."""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Annotated, Self, get_args

from pydantic import (
    BaseModel,
    ConfigDict,
    GetCoreSchemaHandler,
    SerializationInfo,
    SerializerFunctionWrapHandler,
    ValidationInfo,
    model_serializer,
    model_validator,
)
from pydantic_core import CoreSchema, core_schema

from studiotimer import units

SNAPSHOT = "snapshot"

_SUFFIX = r"_(c|m|m2|m3|s|kg|per_s|kg_per_s)$"


class Written(float):
    """A number in SI (temperatures in °C) with the text it was written as."""

    __slots__ = ("text",)
    text: str

    def __new__(cls, value: float, text: str = "") -> Self:
        """Return `value` remembering `text`."""
        self = super().__new__(cls, value)
        self.text = text
        return self

    def __getnewargs__(self) -> tuple[float, str]:  # type: ignore[override]
        """Return what copying and pickling need."""
        return float(self), self.text


def written(value: float | None) -> str:
    """Return the text a plan's number was written as, empty when it came as a number."""
    return getattr(value, "text", "")


@dataclass(frozen=True)
class Measure:
    """A pydantic annotation: text with a unit, or a number already in SI."""

    quantity: units.Quantity
    read: Callable[[str], float] | None = None

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Return the schema that parses and checks the number."""
        return core_schema.with_info_plain_validator_function(self.validate)

    def validate(self, value: object, info: ValidationInfo) -> float:
        """Return `value` in SI; raises ValueError with what was wrong and what would be right.

        With a `style` in the context, a number without a unit means the unit shown in it.
        """
        style = (info.context or {}).get("style")
        try:
            if isinstance(value, Written):
                units.checked(value, self.quantity, "value")
                return value
            if isinstance(value, str):
                number = self.read(value) if self.read else units.parse(value, self.quantity, "value", style)
                return Written(units.checked(number, self.quantity, "value"), value.strip())
            if isinstance(value, int | float) and not isinstance(value, bool):
                return units.checked(float(value), self.quantity, "value")
        except units.UnitError as error:
            raise ValueError(re.sub(r" {2,}", " ", str(error).removeprefix("value: ")).strip()) from None
        raise ValueError(f"{value!r:.40} is not a {self.quantity.name}; write {self.quantity.example}")


SHARE = units.Quantity("share", "", "1 in 3, 1/3 or 33 %", 0.0, 1.0, open_low=True)

_PAIR = r"^\s*(\d+)\s*(?:in|of|/)\s*(\d+)\s*$"


def _share(text: str) -> float:
    """Return a share written as "1 in 3", "1/3" or "33 %"; raises UnitError when it is none of them."""
    pair = re.match(_PAIR, text)
    if pair and int(pair.group(2)) > 0:
        return int(pair.group(1)) / int(pair.group(2))
    try:
        if "%" in text:
            return units.fraction(text, "value")
        if float(text) <= 1.0:
            return float(text)
    except ValueError:
        pass
    raise units.UnitError(f"value: “{text.strip():.40}” is not a share; write {SHARE.example}")


def _leak(text: str) -> float:
    """Return dry ice lost a second [kg/s] from a rate ("8 lb/day") or a heat leak ("30 W").

    1 W takes 1/571,000 kg/s of dry ice, the latent heat the thermal model uses.
    """
    if re.search(r"\bW\s*$", text):
        return units.parse(text, units.HEAT_LEAK, "value") / 571_000.0
    return units.parse(text, units.MASS_RATE, "value")


LEAK = units.MASS_RATE._replace(name="box leak", example="8 lb/day or 20 W", bare=("g/h", "lb/day"))

Temperature = Annotated[float, Measure(units.TEMPERATURE)]
Frozen = Annotated[float, Measure(units.FREEZER)]
Boxed = Annotated[float, Measure(units.BOX)]
Warmth = Annotated[float, Measure(units.WARMTH)]
Poured = Annotated[float, Measure(units.POURED)]
Length = Annotated[float, Measure(units.LENGTH)]
ScoopWidth = Annotated[float, Measure(units.LENGTH._replace(low=0.01, high=0.3, open_low=False))]
Edge = Annotated[float, Measure(units.LENGTH._replace(low=0.0001, high=0.02, open_low=False))]
Mass = Annotated[float, Measure(units.MASS)]
Volume = Annotated[float, Measure(units.VOLUME)]
Span = Annotated[float, Measure(units.TIME)]
Minutes = Annotated[float, Measure(units.MINUTES)]
Hours = Annotated[float, Measure(units.HOURS)]
Changes = Annotated[float, Measure(units.CHANGES)]
Leak = Annotated[float, Measure(LEAK, _leak)]
Share = Annotated[float, Measure(SHARE, _share)]
Percent = Annotated[float, Measure(units.PERCENT)]


def text_key(name: str) -> str:
    """Return the key a number's text stands under: the field's name without its unit (``air_c``: ``air``)."""
    return re.sub(_SUFFIX, "", name)


def quantity_of(model: type[BaseModel], path: tuple[str | int, ...]) -> units.Quantity | None:
    """Return what kind of number a plan's part has at `path`, by the names that plan files use; None for no number."""
    kinds: list[object] = [model]
    for step in path:
        if isinstance(step, int):
            continue
        sheet = next((kind for kind in _within(kinds) if isinstance(kind, type) and issubclass(kind, BaseModel)), None)
        fields = sheet.model_fields.items() if sheet else ()
        field = next((one for name, one in fields if text_key(name) == step), None)
        if field is None:
            return None
        kinds = [*field.metadata, field.annotation]
    return next((kind.quantity for kind in _within(kinds) if isinstance(kind, Measure)), None)


def _within(kinds: Iterable[object]) -> Iterator[object]:
    """Yield annotations and all that they are made of."""
    for kind in kinds:
        yield kind
        yield from _within(get_args(kind))


class Sheet(BaseModel):
    """The base of every part of a plan.

    In a plan file a number stands as its text under the name without its unit (``"air": "72 °F"``); a number
    under the full name (``"air_c": 22.2``) is SI. A snapshot has both, so that reading it parses no unit.
    """

    model_config = ConfigDict(extra="forbid", validate_assignment=True, str_strip_whitespace=True, defer_build=True)

    @model_validator(mode="before")
    @classmethod
    def _join(cls, data: object, info: ValidationInfo) -> object:
        if not isinstance(data, dict):
            return data
        joined = dict(data)
        snapshot = (info.context or {}).get("form") == SNAPSHOT
        for name in cls.model_fields:
            key = text_key(name)
            if key == name or key not in joined:
                continue
            text = joined.pop(key)
            if snapshot and isinstance(joined.get(name), int | float):
                joined[name] = Written(joined[name], str(text))
            elif text is None or isinstance(text, str):
                joined[name] = text
            else:
                raise ValueError(f"{key}: {text!r:.40} has no unit; write it as text with its unit")
        return joined

    @model_serializer(mode="wrap")
    def _split(self, handler: SerializerFunctionWrapHandler, info: SerializationInfo) -> dict[str, object]:
        snapshot = (info.context or {}).get("form") == SNAPSHOT
        out: dict[str, object] = {}
        for name, value in handler(self).items():
            own = getattr(self, name, None)
            text = written(own)
            if not text:
                out[name] = value
            elif text_key(name) == name:
                out[name] = text
            else:
                out[text_key(name)] = text
                if snapshot and own is not None:
                    out[name] = float(own)
        return out
