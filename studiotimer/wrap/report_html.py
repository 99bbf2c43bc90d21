"""report.html: one file with everything in it, nothing of a person's words taken for markup."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from studiotimer.places import resource
from studiotimer.wrap.report import Report
from studiotimer.wrap.thumbs import inline

if TYPE_CHECKING:
    from jinja2 import Template

TEMPLATE = "wrap.html.j2"
PRINTED = "wrap_printed.html.j2"
SHEET = "wrap_frames.html.j2"


def template(name: str) -> Template:
    """Return a template of the report; whatever is put into it is escaped."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    environment = Environment(
        loader=FileSystemLoader(resource("report")), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    return environment.get_template(name)


def page(report: Report, timeline_svg: str, ages_svg: Sequence[str]) -> bytes:
    """Return the page; the drawings are the program's own SVG."""
    from markupsafe import Markup

    pictures = [None if one.picture is None else inline(one.picture) for one in report.shown]
    text = template(TEMPLATE).render(
        report=report,
        timeline=Markup(timeline_svg),
        ages=list(zip(report.ages, map(Markup, ages_svg), strict=True)),
        frames=list(zip(report.shown, pictures, strict=True)),
    )
    return text.encode("utf-8")
