"""A plan read from its file, with the mixes that lie beside it, and its words checked for what they stand for."""

from __future__ import annotations

from pathlib import Path

from studiotimer.files import small_json
from studiotimer.prep.plan import Plan, PlanError, parse_plan
from studiotimer.prep.scene import check


def load_plan(path: Path | str) -> Plan:
    """Return the plan kept in the file `path`.

    A mix given as a JSON file beside it becomes part of the plan. Raises PlanError when the file cannot be
    read, is no plan, or has a field that cannot be used.
    """
    try:
        values = small_json(Path(path))
    except OSError as error:
        raise PlanError(f"{path}: the plan cannot be read: {error.strerror}; choose a plan file") from None
    except ValueError:
        raise PlanError(f"{path}: this is not a plan, its text is not JSON; choose a plan file") from None
    plan = parse_plan(_with_mix_files(values, Path(path).parent))
    check(plan)
    return plan


def _with_mix_files(values: object, folder: Path) -> object:
    """Return the plan's JSON with each mix that names a file replaced by what the file has."""
    for flavour in values.get("flavours", ()) if isinstance(values, dict) else ():
        mix = flavour.get("mix") if isinstance(flavour, dict) else None
        if isinstance(mix, str) and mix.endswith(".json"):
            try:
                flavour["mix"] = small_json(folder / mix)
            except (OSError, ValueError):
                name = flavour.get("name", "")
                raise PlanError(
                    f"flavour {name}, mix: “{mix}” cannot be read as a recipe or label; write a class name, or a "
                    "JSON file that lies beside the plan"
                ) from None
    return values
