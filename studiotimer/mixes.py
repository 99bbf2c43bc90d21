"""Mixes from the shipped table, and from a recipe or a carton label in a JSON file."""

from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from studiotimer.files import small_json
from studiotimer.mix_table import names, rows
from studiotimer.thermal.label import mix_from_label
from studiotimer.thermal.mix import Mix, MixError
from studiotimer.thermal.structure import EMULSIFIERS, Emulsifier, emulsifier_in

_ONE_OF = f"{', '.join(EMULSIFIERS[:-1])} or {EMULSIFIERS[-1]}"


class _Told(BaseModel):
    """What tells a mix's emulsifier: its name, or else the words of the list of ingredients."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)

    emulsifier: str | None = None
    ingredients: str = ""

    @property
    def emulsified_by(self) -> Emulsifier:
        """Return the emulsifier; raises MixError for a name that is none."""
        if self.emulsifier is None:
            return emulsifier_in(self.ingredients)
        name = self.emulsifier.strip().lower()
        if name in ("", "none", "no"):
            return "none"
        found = emulsifier_in(name)
        if found == "none":
            raise MixError(f"emulsifier: “{name[:40]}” is not known; write {_ONE_OF}")
        return found


class Recipe(_Told):
    """A recipe: each part in mass percent of the mix, overrun in percent; `network` only where it is known."""

    name: str = "recipe"
    fat: float = 0.0
    msnf: float = 0.0
    sucrose: float = 0.0
    css: float = 0.0
    css_de: float = 42.0
    dextrose: float = 0.0
    whey: float = 0.0
    stab: float = 0.0
    other: float = 0.0
    overrun_percent: float
    network: float | None = None
    network_reason: str = ""
    source: str = ""

    def mix(self) -> Mix:
        """Return the mix; raises MixError when it cannot be."""
        told = {"emulsifier", "ingredients", "overrun_percent", "network", "network_reason", "source"}
        return Mix(
            **self.model_dump(exclude=told),
            overrun=self.overrun_percent / 100.0,
            emulsifier=self.emulsified_by,
            network_stated=self.network,
        )


class Label(_Told):
    """A carton label: what one serving holds, its volume in ml and masses in g."""

    name: str = "label"
    serving_ml: float = Field(gt=0)
    serving_g: float = Field(gt=0)
    fat_g: float = Field(ge=0)
    carbohydrate_g: float = Field(ge=0)
    protein_g: float = Field(ge=0)
    total_sugars_g: float = Field(ge=0)
    added_sugars_g: float | None = Field(default=None, ge=0)
    stab_percent: float = 0.3

    def mix(self) -> Mix:
        """Return the mix; raises MixError when it cannot be."""
        return mix_from_label(
            self.name,
            volume_ml=self.serving_ml,
            mass_g=self.serving_g,
            fat_g=self.fat_g,
            carbohydrate_g=self.carbohydrate_g,
            protein_g=self.protein_g,
            total_sugars_g=self.total_sugars_g,
            added_sugars_g=self.added_sugars_g,
            stab=self.stab_percent,
            emulsifier=self.emulsified_by,
        )


@cache
def mixes() -> dict[str, Mix]:
    """Return the shipped mixes by class name."""
    recipes = [Recipe.model_validate(row) for row in rows()]
    return {recipe.name: recipe.mix() for recipe in recipes}


def mix_from_data(data: object, name: str = "mix") -> Mix:
    """Return the mix that a decoded JSON object describes, a recipe or a label.

    Either ``{"recipe": {...}}`` or ``{"label": {...}}``, or the inner object alone; a label is known by its serving.
    Raises MixError with one sentence naming the field.
    """
    if not isinstance(data, dict):
        raise MixError(f"{name}: a mix is an object with a recipe or a label")
    inner = data.get("recipe", data.get("label", data))
    if not isinstance(inner, dict):
        raise MixError(f"{name}: a mix is an object with a recipe or a label")
    is_label = "label" in data or "serving_g" in inner or "serving_ml" in inner
    kind: type[Recipe] | type[Label] = Label if is_label else Recipe
    try:
        return kind.model_validate({"name": name, **inner}).mix()
    except ValidationError as error:
        first = error.errors()[0]
        field = ".".join(str(part) for part in first["loc"])
        raise MixError(f"{field}: {first['msg'][:1].lower()}{first['msg'][1:]}") from None


def mix_from_file(path: Path) -> Mix:
    """Return the mix in a JSON file; raises MixError with one sentence when it is not one."""
    try:
        data = small_json(path)
    except OSError as error:
        raise MixError(f"{path.name}: cannot be read ({(error.strerror or 'no such file').lower()})") from None
    except ValueError:
        raise MixError(f"{path.name}: is not a JSON file") from None
    return mix_from_data(data, path.stem)


def find_mix(text: str) -> Mix:
    """Return the mix that `text` names: a class of the shipped table, or a recipe or label file.

    Raises MixError naming the classes there are.
    """
    if (as_written := mixes().get(text)) is not None:
        return as_written
    known = {_plain(name): mix for name, mix in mixes().items()}
    if _plain(text) in known:
        return known[_plain(text)]
    if text.endswith(".json") or "/" in text or "\\" in text:
        return mix_from_file(Path(text))
    raise MixError(f"mix: “{text.strip()[:40]}” is not known; write one of {', '.join(names())}, or a JSON file")


def _plain(name: str) -> str:
    return "".join(letter for letter in name.lower() if letter not in " -_")
