"""The square code of a label, as a drawing: which squares are dark."""

from dataclasses import dataclass

from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel

QUIET = 4
"""Squares left white around it, by ISO/IEC 18004; from memory."""


@dataclass(frozen=True)
class Squares:
    """The path of an SVG that is `side` units wide and high."""

    path: str
    side: int


def squares_of(text: str) -> Squares:
    """The code of a text, of the size it needs, readable with a seventh of it scratched away (level M)."""
    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(text)
    code.make()
    count = code.getModuleCount()
    dark = [
        f"M{column + QUIET} {row + QUIET}h1v1h-1z"
        for row in range(count)
        for column in range(count)
        if code.isDark(row, column)
    ]
    return Squares("".join(dark), count + 2 * QUIET)
