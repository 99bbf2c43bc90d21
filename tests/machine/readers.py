"""A desk with a screen reader's bus, and what a reader finds and is told there.

Run by the system's own Python, which has the reader's library; prints one JSON value a line:
`python3 readers.py walk NAME` the tree of the program NAME, `python3 readers.py listen SECONDS` what it announces.
"""

import json
import sys
import time


def walk(node, depth=0):
    """Yield what a reader finds: depth, role, name, description and states of each thing that shows."""
    import pyatspi

    states = {pyatspi.stateToString(one) for one in node.getState().getStates()}
    if depth and "showing" not in states and node.getRoleName() not in ("application", "frame"):
        return
    kept = sorted(states & {"focusable", "focused", "checked", "enabled"})
    yield [depth, node.getRoleName(), node.name, node.description, kept]
    for child in node:
        if child is not None:
            yield from walk(child, depth + 1)


def program(name, seconds=90):
    """Return the program by its name."""
    import pyatspi

    end = time.monotonic() + seconds
    while time.monotonic() < end:
        for one in pyatspi.Registry.getDesktop(0):
            if one is not None and one.name == name and one.childCount:
                return one
        time.sleep(0.2)
    sys.exit(f"{name} is not on the bus")


def listen(seconds):
    """Print what is announced, and what gets the focus, for a while."""
    import pyatspi
    from gi.repository import GLib

    def told(event):
        value = event.any_data if event.type.startswith("object:announcement") else event.source.name
        print(json.dumps([str(event.type), str(value)]), flush=True)

    pyatspi.Registry.registerEventListener(told, "object:announcement", "object:state-changed:focused")
    GLib.timeout_add(int(1000 * seconds), pyatspi.Registry.stop)
    print(json.dumps(["listening", ""]), flush=True)
    pyatspi.Registry.start()


def main():
    """Walk or listen."""
    what, argument = sys.argv[1:]
    if what == "walk":
        for line in walk(program(argument)):
            print(json.dumps(line))
    else:
        listen(float(argument))


if __name__ == "__main__":
    main()
