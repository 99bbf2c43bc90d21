"""Calls about motion clips: the camera runs, the camera has stopped."""

from typing import Literal

from studiotimer.session.calls.record import Call, no_choices
from studiotimer.session.desk import Desk, Fields
from studiotimer.session.entries import Entry
from studiotimer.session.fields import Name
from studiotimer.session.state import ContradictionError, State


class Clip(Entry):
    """A motion clip: `on` when its camera begins to run, off when it stops."""

    kind: Literal["clip"] = "clip"
    name: Name
    on: bool


def _rule(state: State, call: Clip, at: float) -> State:
    running = call.name in state.clips_running
    if running and call.on:
        raise ContradictionError(
            f"the clip “{call.name}” is running already; stop it first, or give this one another name"
        )
    if not running and not call.on:
        raise ContradictionError(f"the clip “{call.name}” is not running; start it first")
    if call.on:
        return state.but(clips=state.clips + 1, clips_running={**state.clips_running, call.name: at})
    return state.but(clips_running={name: since for name, since in state.clips_running.items() if name != call.name})


def _default(desk: Desk) -> Fields:
    """Stop the clip that has run the longest, else start the next one."""
    running = desk.state.clips_running
    name = desk.given.get("name") or min(running, key=lambda one: running[one], default=None)
    if not isinstance(name, str):
        return {"on": True} if name is not None else {"name": f"clip {desk.state.clips + 1}", "on": True}
    if name not in running and "on" not in desk.given:
        return {"name": name, "on": True}
    return {"name": name, "on": name not in running}


CLIP = Call(
    model=Clip,
    name="Clip",
    rule=_rule,
    default=_default,
    choices=no_choices,
    words=lambda call: f"{call.name} {'starts' if call.on else 'ends'}",
    short=lambda call: f"{call.name} {'on' if call.on else 'off'}",
    by="anyone",
)
