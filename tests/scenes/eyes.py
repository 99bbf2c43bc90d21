"""What a screen reader finds in the program, asked again and again: one JSON question a line, one JSON answer a line.

Run by the system's own Python, which has the readers' library. A question is {"program": PID, "begins": PREFIX}; the
answer is a list of [role, name, description] of whatever shows and whose name begins so.
"""

import json
import sys

import pyatspi


def showing(node, depth=0):
    """Yield everything that shows."""
    try:
        if depth and not node.getState().contains(pyatspi.STATE_SHOWING):
            if node.getRole() not in (pyatspi.ROLE_APPLICATION, pyatspi.ROLE_FRAME):
                return
        yield node
        children = list(node)
    except Exception:  # what was there a moment ago is gone
        return
    for child in children:
        if child is not None:
            yield from showing(child, depth + 1)


def program(pid):
    """Return the program of a process; None while it is not on the bus."""
    for one in pyatspi.Registry.getDesktop(0):
        try:
            if one is not None and one.get_process_id() == pid:
                return one
        except Exception:  # it ended
            continue
    return None


def answer(question):
    """Return what is found."""
    found = program(question["program"])
    if found is None:
        return []
    begins = question["begins"]
    answers = []
    for node in showing(found):
        try:
            if node.name.startswith(begins):
                answers.append([node.getRoleName(), node.name, node.description])
        except Exception:  # gone meanwhile
            continue
    return answers


def main():
    """Answer until nobody asks."""
    print(json.dumps("ready"), flush=True)
    for line in sys.stdin:
        print(json.dumps(answer(json.loads(line))), flush=True)


if __name__ == "__main__":
    main()
