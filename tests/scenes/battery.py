"""A battery for one program alone: what the system tells of it is laid over in a space of the program's own."""

import shutil
import subprocess

SUPPLIES = "/sys/class/power_supply"
NEEDS = "needs to lay a folder over another for one program alone: unshare, as root"


def lacking():
    """Return what is not here for it, None when it can be done."""
    if shutil.which("unshare") is None:
        return NEEDS
    tried = f"test -d {SUPPLIES} && mount --bind /tmp {SUPPLIES}"
    done = subprocess.run(["unshare", "-m", "sh", "-c", tried], capture_output=True)
    return NEEDS if done.returncode else None


def on_battery(folder, percent, plugged=False):
    """Return the command that runs another with a battery so full, its charger out unless it is `plugged`."""
    supplies = tell(folder, percent, plugged)
    script = f'mount --bind "{supplies}" {SUPPLIES} && exec "$@"'
    return ("unshare", "-m", "sh", "-c", script, "sh")


def tell(folder, percent, plugged):
    """Write what the system tells of the battery and the charger from now on; return where."""
    told = {
        "BAT0": {"status": "Charging" if plugged else "Discharging", "capacity": percent, "energy_now": percent * 10**6,
                 "energy_full": 10**8, "power_now": 10**7, "type": "Battery"},
        "AC0": {"online": int(plugged), "type": "Mains"},
    }  # fmt: skip
    supplies = folder / "supplies"
    for name, values in told.items():
        (supplies / name).mkdir(parents=True, exist_ok=True)
        for what, value in values.items():
            (supplies / name / what).write_text(f"{value}\n")
    return supplies
