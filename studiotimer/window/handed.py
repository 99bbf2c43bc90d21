"""What a process of its own is to print or draw, as it is handed it: a paper's content as JSON, which runs nothing."""

import datetime as dt

from pydantic import BaseModel, ConfigDict

from studiotimer.prep.flags import FLAGS, Flagged
from studiotimer.prep.outputs import SHEET
from studiotimer.prep.printed import Printed
from studiotimer.units import Style
from studiotimer.window.paper import Paper
from studiotimer.window.prep.flags_drawn import flag_pages
from studiotimer.window.prep.pages import Upright
from studiotimer.window.prep.papers import CALLED
from studiotimer.window.prep.sheet import sheet_pages
from studiotimer.window.wrap.report_drawn import ReportPaper
from studiotimer.wrap.report import Report


class Handed(BaseModel):
    """A paper's content, and in what units its figures are shown; pictures are in base64.

    It is for a printer, or, where none is named, to be drawn: as a PDF of which `made` (aware) is the date, or, where
    `width_px` is more than 0, as pictures so wide, `most` pages (None: all).
    """

    model_config = ConfigDict(
        ser_json_bytes="base64", val_json_bytes="base64", ser_json_inf_nan="constants", extra="forbid"
    )

    printer: str
    style: Style
    letter: bool
    made: dt.datetime
    width_px: int = 0
    most: int | None = None
    content: Printed | Flagged | Report

    @property
    def paper(self) -> Paper:
        """The paper, made anew from its content."""
        if isinstance(self.content, Report):
            return ReportPaper(self.content, self.letter)
        if isinstance(self.content, Flagged):
            return Upright(flag_pages(self.content), CALLED[FLAGS], self.letter)
        return Upright(sheet_pages(self.content), CALLED[SHEET], self.letter)


def handed(
    printer: str,
    paper: Paper,
    style: Style,
    made: dt.datetime | None = None,
    width_px: int = 0,
    most: int | None = None,
) -> bytes:
    """Return a paper as JSON; raises ValueError for one that is no sheet, flags or report."""
    content = paper.content
    if not isinstance(content, Printed | Flagged | Report):
        raise ValueError(f"a {paper.noun} cannot be printed")
    made = made or dt.datetime.now(dt.UTC)
    one = Handed.model_construct(
        printer=printer, style=style, letter=paper.letter, made=made, width_px=width_px, most=most, content=content
    )
    return one.model_dump_json().encode()


def taken(data: bytes) -> Handed:
    """Return what was handed over; raises ValueError when it is no paper."""
    return Handed.model_validate_json(data)
