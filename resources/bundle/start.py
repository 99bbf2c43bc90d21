"""Where a bundle begins: the program, or the part of it that it is begun as."""

import os
import sys

from studiotimer.apart import is_part, leave_libraries_to_us, run_part


def read_utf8() -> None:
    """Take text for UTF-8 where the system says nothing of it, as Python does by itself outside of a bundle."""
    said = next((told for name in ("LC_ALL", "LC_CTYPE", "LANG") if (told := os.environ.get(name))), "C")
    if sys.platform != "win32" and said in ("C", "POSIX"):
        os.environ["LC_CTYPE"] = "C.UTF-8"
        os.environ.pop("LC_ALL", None)


if __name__ == "__main__":
    read_utf8()
    leave_libraries_to_us()
    if is_part(sys.argv[1:]):
        run_part(sys.argv[1:])
    else:
        from studiotimer.cli import entry_point

        entry_point()
