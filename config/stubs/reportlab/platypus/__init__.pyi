from collections.abc import Callable

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfgen.canvas import Canvas

class Flowable:
    canv: Canvas
    width: float
    height: float
    def __init__(self) -> None: ...
    def wrap(self, aW: float, aH: float, /) -> tuple[float, float]: ...
    def split(self, aW: float, aH: float, /) -> list[Flowable]: ...
    def draw(self) -> None: ...
    def drawOn(self, canvas: Canvas, x: float, y: float) -> None: ...

class Paragraph(Flowable):
    def __init__(self, text: str, style: ParagraphStyle) -> None: ...

class Spacer(Flowable):
    def __init__(self, width: float, height: float) -> None: ...

class CondPageBreak(Flowable):
    def __init__(self, height: float) -> None: ...

class Frame:
    def __init__(
        self,
        x1: float,
        y1: float,
        width: float,
        height: float,
        leftPadding: float,
        bottomPadding: float,
        rightPadding: float,
        topPadding: float,
    ) -> None: ...

class PageTemplate:
    def __init__(self, id: str, frames: list[Frame], onPage: Callable[[Canvas, object], None]) -> None: ...

class BaseDocTemplate:
    def __init__(
        self,
        filename: str,
        *,
        pagesize: tuple[float, float],
        leftMargin: float,
        rightMargin: float,
        topMargin: float,
        bottomMargin: float,
        title: str,
        author: str,
        subject: str,
        lang: str,
        invariant: int,
        pageCompression: int,
    ) -> None: ...
    def addPageTemplates(self, pageTemplates: PageTemplate) -> None: ...
    def build(self, flowables: list[Flowable]) -> None: ...
