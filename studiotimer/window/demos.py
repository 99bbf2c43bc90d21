"""The demos shipped with the program, and copies of them that may be written in."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

from studiotimer.errors import PlaceError, SlowError
from studiotimer.files import write_all
from studiotimer.places import demo_copies, demo_sessions
from studiotimer.plain import reason
from studiotimer.session.first_lines import SUFFIX, SessionFileError
from studiotimer.window.aside import PATIENCE_S, answered

PLAN, SELECTS = "plan.json", "selects.csv"


class NoCopyError(PlaceError):
    """A demo cannot be copied; the message is one sentence."""


def demos() -> list[Path]:
    """Return the demo sessions shipped with the program."""
    return sorted(demo_sessions().glob(f"*/*{SUFFIX}"))


def session_copy(demo: Path, now: datetime) -> Path:
    """Return a copy of a demo's session to call on, as if its first hero were next; raises NoCopyError."""
    from studiotimer.session.reading import read  # these bring the models of entries; a demo is named without
    from studiotimer.session.taken_up import take_up

    copy = demo_copies() / f"{now:%Y-%m-%d-%H%M%S}-{demo.name}"
    try:
        return take_up(read(demo), copy, now.astimezone())
    except SessionFileError as error:
        raise NoCopyError(f"The demo cannot be copied to {copy.parent}: {error}.") from None


def plan_copy(demo: Path, now: datetime) -> Path:
    """Return a copy of a demo's plan, for a day a week from now; raises NoCopyError."""
    from studiotimer.prep.times import moved  # brings the models of plans; a demo is named without

    copy = demo_copies() / f"{now:%Y-%m-%d-%H%M%S}-{demo.stem}.json"
    values = json.loads(demo.with_name(PLAN).read_text(encoding="utf-8"))
    moved(values, (now + timedelta(days=7)).date())
    _put(copy, json.dumps(values, ensure_ascii=False, indent=2).encode("utf-8"))
    return copy


def with_copy(
    copied: Callable[[Path, datetime], Path], demo: Path, then: Callable[[Path], object], say: Callable[[str], object]
) -> None:
    """Copy a demo aside, and go on with the copy, or say why there is none."""
    try:
        copy = answered("copying the demo", lambda: copied(demo, datetime.now()), PATIENCE_S)
    except (NoCopyError, SlowError) as error:
        say(str(error))
    else:
        then(copy)


def wrapped_copy(demo: Path) -> Path:
    """Return the copy of a demo's session that Wrap works in, with its frames beside it; raises NoCopyError.

    What was marked in it before stays; the demo's own selects are there the first time.
    """
    folder = demo_copies() / f"wrap-{demo.parent.name}"
    for file in sorted(demo.parent.rglob("*")):
        own = f"{demo.stem}.{file.name}" if file.name == SELECTS else file.relative_to(demo.parent)
        copy = folder / own
        if file.is_file() and not copy.exists():
            _put(copy, file.read_bytes())
    return folder / demo.name


def _put(copy: Path, data: bytes) -> None:
    try:
        write_all(copy.parent, {copy.name: data})
    except OSError as error:
        raise NoCopyError(f"The demo cannot be copied to {copy.parent}: {reason(error)}.") from None
