"""What a written plan becomes, fetched with real keys and clicks and read as people get it; part of `tests.new_plan`."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

FILES = (
    "sheet.pdf", "flags.pdf", "run_sheet.ics", "shopping.csv", "plan.json", "to_client.txt", "to_photographer.txt",
    "to_supplier.txt",
)  # fmt: skip
IN_MESSAGES = {
    "client": ("a socket on a circuit of its own", "Ventilation that runs", "CO₂ monitor with an alarm"),
    "photographer": ("locked by", "daylight until", "min:s on set"),
    "supplier": ("dry ice", "safety data sheet", "never in a closed car"),
}
CAUTIONS = ("gloves and eye protection", "room ventilated", "low places", "sealed container", "closed car", "cold room",
            "CO₂ monitor decides", "everyone leaves", "Local codes")  # fmt: skip
TICK = "☐"


def read_all(typist, window, plan, out: Path) -> Iterator[str]:
    """Write all files of the plan that is shown, read sheet and messages; yield what is missing, in words."""
    folder = out / "files"
    _write_files(typist, folder)
    window.grab().save(str(out / "sheet.png"))
    for name in FILES:
        if not (folder / name).is_file():
            yield f"no {name}"
    if shutil.which("pdftotext") is None:
        print("the sheet was not read: pdftotext is not installed (Debian: poppler-utils)")
    else:
        pages = _pages(folder / "sheet.pdf")
        wanted = list(_on_sheet(plan))
        print(
            f"sheet.pdf: {len(pages)} pages, {sum(len(page.split()) for page in pages)} words, {len(wanted)} looked for"
        )
        yield from (f"not on the sheet: {each}" for each in wanted if not _stands(each, " ".join(pages)))
    typist.key("Escape")
    typist.see(lambda: typist.page.stack.currentWidget() is not typist.page.preview, "the preview does not close")
    for to, letter in typist.page.view.messages.letters.items():
        typist.click(typist.page.view.messages.folds[to].heading)
        typist.click(letter.copy)
        words = typist.studio.app.clipboard().text()
        print(f"to the {to}: {len(words.split())} words")
        wanted = [*IN_MESSAGES[to], *_in_message(to, plan)]
        yield from (f"not in the message to the {to}: {each}" for each in wanted if not _stands(each, words))
        if words.strip() != letter.read.text() or words != (folder / f"to_{to}.txt").read_text(encoding="utf-8"):
            yield f"the message to the {to} is not the same on the page, copied and as a file"
    window.grab().save(str(out / "messages.png"))


def _write_files(typist, folder: Path) -> None:
    """Show the sheet, and have all files written into a folder."""
    page = typist.page
    typist.key("ctrl+p")
    typist.see(lambda: page.stack.currentWidget() is page.preview, "the sheet is not shown")
    typist.click(page.preview.files)
    typist.see(lambda: typist.here is page.bar.line, "no folder is asked for")
    typist.text(str(folder))
    typist.key("Return")
    typist.see(lambda: not page.bar.isVisible() and (folder / "sheet.pdf").is_file(), "nothing is written")


def _pages(file: Path) -> list[str]:
    done = subprocess.run(["pdftotext", "-layout", str(file), "-"], check=True, capture_output=True, timeout=60)
    return done.stdout.decode("utf-8").split("\f")[:-1]


def _on_sheet(plan) -> Iterator[str]:
    """Yield what a reader of the sheet looks for: who, where, when, each shot, what is ordered, the cautions."""
    yield from (plan.title, plan.place.address, f"{plan.call:%H:%M}", TICK, *CAUTIONS)
    for person in plan.people:
        yield from (person.name, person.phone)
    for shot in plan.shots:
        yield shot.name
        yield from (each for step in shot.steps for each in (step.what, step.who))
        yield from (hero.spot for hero in shot.heroes if hero.spot)
    yield from (flavour.name for flavour in plan.flavours)
    for bought in (plan.delivery, plan.dry_ice):
        yield from (bought.supplier, bought.phone)
    yield from (f"{time:%H:%M}" for time in (plan.delivery.from_time, plan.delivery.to_time) if time)
    yield from (f"{name} _______ °F" for name in plan.freezer_names.values())


def _in_message(to: str, plan) -> Iterator[str]:
    """Yield what of the plan a message must have."""
    yield plan.title
    if to == "client":
        yield from (plan.delivery.contact, f"{plan.delivery.cartons} cartons", *plan.freezer_names.values())
    elif to == "photographer":
        yield from (f"- {shot.name}, {shot.look}" for shot in plan.shots)
    else:
        yield from (plan.dry_ice.form, "10 lb", plan.place.address)


def _stands(words: str, text: str) -> bool:
    """Whether words stand in a text, wherever its lines end."""
    return " ".join(words.split()) in " ".join(text.replace("\u00a0", " ").split())
