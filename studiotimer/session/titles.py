"""What a session is called by its file, read without the models of entries, which take long to load."""

from __future__ import annotations

import json
from pathlib import Path

from studiotimer.session.first_lines import FORMAT, VERSION, BadLineError, SessionFileError, checked_body, first_line


def title_of(path: Path) -> str:
    """Return the title of the shoot in the session at `path`; its file's name when it cannot be read.

    A first line whose sum holds is as it was written; a damaged one is looked at with all that reading knows.
    """
    try:
        return _title_on(first_line(path).removesuffix(b"\n")) or path.stem
    except (SessionFileError, ValueError, RecursionError) as error:
        if not isinstance(error, BadLineError):
            return path.stem
    from studiotimer.session.reading import read_header  # brings the models, which a whole line can do without

    try:
        return str(read_header(path).plan.get("title") or path.stem)
    except SessionFileError:
        return path.stem


def _title_on(line: bytes) -> str:
    """Return the title on a session's first line, empty where it has none.

    Raises BadLineError for a damaged line, ValueError and RecursionError for what is no JSON.
    """
    header = json.loads(checked_body(line))
    version = header.get("version")
    if header.get("format") != FORMAT or not isinstance(version, int) or not 1 <= version <= VERSION:
        return ""
    plan = header.get("plan")
    return str(plan.get("title") or "") if isinstance(plan, dict) else ""
