"""The contents with page numbers in one pass: each number is a form that is drawn first and filled later."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from django.utils.translation import gettext as _
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph

from fleet.services.records.unit_file.flow import BOLD, LEADING, REGULAR, RULE, SIZE

LINE = 15.0
RULE_AT, COUNT_AT = 0.48, 0.88
"""Where the columns of the contents begin and end, as parts of the width."""

NUMBER_WIDTH, SPACE = 30.0, 3.0
PAGES = "pages"


class Contents(Flowable):
    """Every section with the rule that asks for it, how many records it has, and its page."""

    def __init__(self, lines: Sequence[tuple[str, str, str, int]], width: float) -> None:
        super().__init__()
        self.lines, self.width = lines, width
        self.height = LINE * (len(lines) + 1)

    def wrap(self, _aW: float, _aH: float) -> tuple[float, float]:  # noqa: N803 - the framework's names
        return self.width, self.height

    def draw(self) -> None:
        """Draw every line as a link to its section."""
        self._line(self.height, (_("Contents"), _("Rule"), _("Records"), _("Page")), BOLD)
        self.canv.setStrokeColor(RULE)
        for place, (name, title, source, count) in enumerate(self.lines, 1):
            top = self.height - place * LINE
            self.canv.line(0, top, self.width, top)
            self._line(top, (title, source, str(count) if count else _("none"), ""), REGULAR)
            self.canv.saveState()
            self.canv.translate(self.width - NUMBER_WIDTH, top - LINE + 4)
            self.canv.doForm(_called(name))
            self.canv.restoreState()
            self.canv.linkRect("", name, (0, top - LINE, self.width, top), relative=1, thickness=0)

    def _line(self, top: float, cells: tuple[str, str, str, str], font: str) -> None:
        title, source, count, page = cells
        self.canv.setFont(font, SIZE + 1)
        base = top - LINE + 4
        self.canv.drawString(0, base, title)
        self.canv.drawString(RULE_AT * self.width, base, source)
        self.canv.drawRightString(COUNT_AT * self.width, base, count)
        self.canv.drawRightString(self.width, base, page)


class Marked(Flowable):
    """A section's heading, which the contents and the reader's own list of bookmarks lead to."""

    def __init__(self, name: str, title: str, heading: Paragraph) -> None:
        super().__init__()
        self.name, self.title, self.heading = name, title, heading

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803 - the framework's names
        width, self.height = self.heading.wrap(aW, aH)
        return width, self.height

    def draw(self) -> None:
        """Draw the heading, and fill in its page."""
        self.canv.bookmarkHorizontal(self.name, 0, self.height)
        self.canv.addOutlineEntry(self.title, self.name, 0)
        with _form(self.canv, self.name):
            self.canv.drawRightString(NUMBER_WIDTH, 0, str(self.canv.getPageNumber()))
        self.heading.drawOn(self.canv, 0, 0)


class Ending(Flowable):
    """Nothing to be seen: tells every page how many there are."""

    def wrap(self, _aW: float, _aH: float) -> tuple[float, float]:  # noqa: N803 - the framework's names
        return 0, 0

    def draw(self) -> None:
        """Fill in the number of pages."""
        with _form(self.canv, PAGES):
            self.canv.drawString(0, 0, str(self.canv.getPageNumber()))


def number_page(canvas: Canvas, left: str, right: str, *, x: float, width: float, top: float, bottom: float) -> None:
    """Draw a page's running head and its number of so many."""
    canvas.saveState()
    canvas.setFont(REGULAR, SIZE)
    canvas.drawString(x, top, left)
    canvas.drawRightString(x + width, top, right)
    canvas.setStrokeColor(RULE)
    canvas.line(x, top - LEADING / 2, x + width, top - LEADING / 2)
    page = _("page {page} of").format(page=canvas.getPageNumber())
    canvas.drawRightString(x + width - NUMBER_WIDTH, bottom, page)
    canvas.translate(x + width - NUMBER_WIDTH + SPACE, bottom)
    canvas.doForm(_called(PAGES))
    canvas.restoreState()


def _called(name: str) -> str:
    return f"page-of-{name}"


@contextmanager
def _form(canvas: Canvas, name: str) -> Iterator[None]:
    """What is drawn inside is a small form, for every place that asked for it by that name."""
    canvas.beginForm(_called(name), 0, -LEADING, NUMBER_WIDTH, LEADING)
    canvas.setFont(REGULAR, SIZE)
    yield
    canvas.endForm()
