"""Pages of Prep as they are printed and as they are shown."""

from studiotimer.window.paper import paper_pdf, pictures_of
from studiotimer.window.prep.pages import Upright
from studiotimer.window.prep.sheet import sheet_pages


def pages_pdf(pages, made, letter=False):
    return paper_pdf(Upright(pages, "", letter), made)


def pages_pictures(pages, width_px, letter=False):
    return pictures_of(Upright(pages, "", letter), width_px)


def sheet_pdf(sheet, made):
    return pages_pdf(sheet_pages(sheet), made)


def sheet_pictures(sheet, width_px, letter=False):
    return pages_pictures(sheet_pages(sheet), width_px, letter)
