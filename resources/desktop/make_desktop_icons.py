"""Makes the icons of the program and of its session files as a desktop wants them: one drawing, every size, as PNG.

Run it in the project's environment after a change of `icons/studiotimer.svg` or of the sheet below.
"""

from pathlib import Path

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

SIZES = (16, 22, 24, 32, 48, 64, 128, 256, 512)
HERE = Path(__file__).parent

SESSION = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 64 64">
<path d="M16 3h24l13 13v41a4 4 0 0 1-4 4H16a4 4 0 0 1-4-4V7a4 4 0 0 1 4-4Z" fill="#F5EFE3" stroke="#5C676C" stroke-width="2"/>
<path d="M40 3v13h13" fill="#D9D2C2" stroke="#5C676C" stroke-width="2" stroke-linejoin="round"/>
<path d="M21 38a11.5 11.5 0 0 1 23 0" fill="#E3B862"/>
<path d="M18.500 38h28a2 2 0 0 1 0 4H42c-.8 0-1.500.8-1.500 2s-.6 4-2 4-2-2.500-2-4-.6-2-1.200-2H18.500a2 2 0 0 1 0-4Z" fill="#D98B3A"/>
<path d="M20 54h25" stroke="#5C676C" stroke-width="2.400" stroke-linecap="round"/>
</svg>
"""  # noqa: E501


def drawn(svg: str, size: int) -> QImage:
    """Return a drawing as a picture of `size` by `size`."""
    image = QImage(size, size, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(Qt.GlobalColor.transparent)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    QSvgRenderer(QByteArray(svg.encode())).render(painter, QRectF(0, 0, size, size))
    painter.end()
    return image


def main() -> None:
    """Write every size of both, and the drawings."""
    program = (HERE.parent / "icons/studiotimer.svg").read_text(encoding="utf-8")
    for name, svg in (("program", program), ("session", SESSION)):
        folder = HERE / name
        folder.mkdir(exist_ok=True)
        (folder / "scalable.svg").write_text(svg, encoding="utf-8")
        for size in SIZES:
            drawn(svg, size).save(str(folder / f"{size}.png"))


if __name__ == "__main__":
    main()
