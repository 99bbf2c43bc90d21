"""The invented shoots of the scenes."""

HERO = {"flavour": "vanilla", "spot": "centre"}
LED = {"look": "crisp", "light": "LED 2000 lx", "frames": 6, "between": "5 s"}


def plan(shots, **changes):
    """Return a plan of these shots in a usual room, with a box and a tray of slots."""
    values = {
        "title": "two spoons",
        "room": {"air": "23 °C", "humidity": "48 %"},
        "flavours": [{"name": "vanilla", "mix": "premium"}, {"name": "lemon", "mix": "sorbet"}],
        "shots": shots,
        "pull_to_set": "40 s",
        "pull": "20 s",
        "carry": "20 s",
        "freezer": "-16 °C",
        "dry_ice": {"form": "pellets", "box_grid": "3 x 2", "tray_grid": "4 x 1"},
    }
    return values | changes


def one_hero(**changes):
    """Return a shot of one hero."""
    return LED | {"name": "cup", "heroes": [HERO], "takes": 2, "dressing": "0 s"} | changes


def two_heroes(**changes):
    """Return a shot of two heroes."""
    heroes = [HERO | {"spot": "left"}, HERO | {"flavour": "lemon", "spot": "right"}]
    return LED | {"name": "coupe", "heroes": heroes, "takes": 2, "dressing": "0 s"} | changes


def placed(stage, after_s):
    """Open a shoot of one hero that came in `after_s` seconds on, with two more pulled."""
    with stage.prepare(plan([one_hero(takes=4)])) as before:
        before.begin()
        for _ in range(3):
            before.call("pull")
        before.until(after_s)
        before.call("hero_in")
    stage.open()
