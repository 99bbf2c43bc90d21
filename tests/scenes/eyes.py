"""What a screen reader finds in the program, asked again and again: one JSON question a line, one JSON answer a line.

Run by the system's own Python, which has the readers' library. A question is {"program": PID, "begins": PREFIX}; the
answer is a list of [role, name, description, its middle on the screen] of whatever shows and whose name begins so.
"""

import json
import sys

import pyatspi

LOOK_AROUND = 5
"""Every so many times the whole program is walked; between, what was found before is read again."""


def passing(node):
    """Whether a node shows; the program and its windows are passed anyway."""
    return node.getRole() in (pyatspi.ROLE_APPLICATION, pyatspi.ROLE_FRAME) or node.getState().contains(
        pyatspi.STATE_SHOWING
    )


def middle(node):
    """Return where the middle of a node is on the screen; None for what has no place."""
    try:
        place = node.queryComponent().getExtents(pyatspi.DESKTOP_COORDS)
    except NotImplementedError:
        return None
    return [place.x + place.width // 2, place.y + place.height // 2]


def showing(node):
    """Yield everything that shows."""
    try:
        if not passing(node):
            return
        yield node
        children = list(node)
    except Exception:  # what was there a moment ago is gone
        return
    for child in children:
        if child is not None:
            yield from showing(child)


def program(pid):
    """Return the program of a process; None while it is not on the bus."""
    for one in pyatspi.Registry.getDesktop(0):
        try:
            if one is not None and one.get_process_id() == pid:
                return one
        except Exception:  # it ended
            continue
    return None


class Eyes:
    """Finds things by how their names begin, and knows where they were."""

    def __init__(self):
        self._known = {}
        self._asked = 0

    def answer(self, pid, begins):
        """Return (role, name, description, its middle on the screen) of what is found."""
        self._asked += 1
        if begins and self._asked % LOOK_AROUND:
            found = list(self._read(self._known.get((pid, begins), ()), begins))
            if found:
                return [told for _, told in found]
        top = program(pid)
        found = list(self._read(showing(top), begins)) if top is not None else []
        self._known[pid, begins] = [node for node, _ in found]
        return [told for _, told in found]

    def _read(self, nodes, begins):
        for node in nodes:
            try:
                if node.name.startswith(begins) and passing(node):
                    yield node, [node.getRoleName(), node.name, node.description, middle(node)]
            except Exception:  # gone meanwhile
                continue


def main():
    """Answer until nobody asks."""
    eyes = Eyes()
    print(json.dumps("ready"), flush=True)
    for line in sys.stdin:
        asked = json.loads(line)
        print(json.dumps(eyes.answer(asked["program"], asked["begins"])), flush=True)


if __name__ == "__main__":
    main()
