"""The PDF of a unit's file: a cover with contents, then every section as a table. What a row says is the sections'."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from django.utils.translation import gettext as _
from reportlab.lib.pagesizes import LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import inch
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, PageTemplate, Paragraph, Spacer

from fleet.models import Person
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.sections import FileScope, Section, sections
from fleet.services.records.unit_file.contents import Contents, Ending, Marked, number_page
from fleet.services.records.unit_file.flow import BOLD, REGULAR, RowsFlowable, grid_of
from fleet.services.records.unit_file.gather import Gathered

MARGIN = 0.6 * inch
WIDTH = LETTER[0] - 2 * MARGIN
ROOM_FOR_A_SECTION = 1.4 * inch

TITLE = ParagraphStyle("title", fontName=BOLD, fontSize=18, leading=23)
HEADING = ParagraphStyle("heading", fontName=BOLD, fontSize=11, leading=14)
PLAIN = ParagraphStyle("plain", fontName=REGULAR, fontSize=8, leading=11)
SMALL = ParagraphStyle("small", fontName=REGULAR, fontSize=7.2, leading=10, textColor="#444c54")


@dataclass(frozen=True)
class Cover:
    """What the file says of itself: whose it is, of which days, as of when, made by whom."""

    scope: FileScope
    gathered: Gathered
    words: Words
    actor: Person | None

    @property
    def title(self) -> str:
        return _("Maintenance file of unit {unit}").format(unit=self.scope.unit)

    @property
    def disclaimer(self) -> str:
        """What the file does not say."""
        return _(
            "This file shows what is recorded. It does not say that the vehicle is safe: the driver at the vehicle, "
            "the carrier's qualified people, the officer at the roadside and local law decide."
        )

    def facts(self) -> Iterator[tuple[str, str]]:
        """What stands on the cover, line by line."""
        carrier, scope, gathered = self.gathered.carrier, self.scope, self.gathered
        yield _("Motor carrier"), ", ".join(filter(None, (carrier.name, carrier.address)))
        yield _("USDOT number"), carrier.usdot_number
        yield _("Unit"), str(scope.unit)
        yield _("Days"), self._days()
        yield _("As of"), self.words.instant(scope.now.isoformat())
        yield _("Made by"), _("the command line") if self.actor is None else self.actor.name
        yield _("History"), _("{length} entries, head {head}").format(length=gathered.length, head=gathered.head.hex())

    def _days(self) -> str:
        since, until = self.scope.since, self.scope.until
        if since is None and until is None:
            return _("everything that is kept")
        return _("{first} to {last}, both included").format(
            first=since or _("the beginning"), last=until or _("the day it was made")
        )


def write_pages(path: Path, cover: Cover, *, faults: int) -> None:
    """Write the PDF, reading the records while it is laid out; call it with the language in force.

    `faults` is how many named files could not be put into the archive.
    """
    document = BaseDocTemplate(
        str(path),
        pagesize=LETTER,
        leftMargin=MARGIN,
        rightMargin=MARGIN,
        topMargin=MARGIN + 0.25 * inch,
        bottomMargin=MARGIN,
        title=cover.title,
        author=cover.gathered.carrier.name,
        subject="49 CFR 396.3",
        lang=cover.words.language,
        invariant=1,
        pageCompression=1,
    )
    frame = Frame(MARGIN, MARGIN, WIDTH, LETTER[1] - 2 * MARGIN - 0.25 * inch, 0, 0, 0, 0)
    document.addPageTemplates(
        PageTemplate("page", [frame], onPage=lambda canvas, _document: _running_head(canvas, cover))
    )
    parts = chain.from_iterable(_section(section, cover) for section in sections())
    document.build([*_cover(cover, faults), *parts, Ending()])


def _running_head(canvas: Canvas, cover: Cover) -> None:
    carrier, made = cover.gathered.carrier, cover.words.instant(cover.scope.now.isoformat())
    number_page(
        canvas,
        f"{cover.scope.unit}  -  {carrier.name}, USDOT {carrier.usdot_number}",
        _("as of {instant}").format(instant=made),
        x=MARGIN,
        width=WIDTH,
        top=LETTER[1] - MARGIN,
        bottom=MARGIN - 0.2 * inch,
    )


def _cover(cover: Cover, faults: int) -> Iterator[Flowable]:
    yield Paragraph(cover.title, TITLE)
    yield Spacer(0, 8)
    facts = list(cover.facts())
    if faults:
        facts.append((_("Files missing"), _("{count}, listed in manifest.json").format(count=faults)))
    for name, value in facts:
        yield Paragraph(f'<font name="{BOLD}">{_escaped(name)}:</font> {_escaped(value)}', PLAIN)
    yield Spacer(0, 8)
    yield Paragraph(cover.disclaimer, SMALL)
    yield Spacer(0, 12)
    yield Contents([(s.name, str(s.title), s.source, cover.gathered.counts[s.name]) for s in sections()], WIDTH)


def _section(section: Section, cover: Cover) -> Iterator[Flowable]:
    yield CondPageBreak(ROOM_FOR_A_SECTION)
    yield Spacer(0, 12)
    source = f' <font name="{REGULAR}" size="8">{section.source}</font>' if section.source else ""
    yield Marked(section.name, str(section.title), Paragraph(f"{_escaped(str(section.title))}{source}", HEADING))
    if section.note:
        yield Paragraph(_escaped(str(section.note)), SMALL)
    yield Spacer(0, 3)
    if cover.gathered.counts[section.name] == 0:
        yield Paragraph(_escaped(str(section.empty)), PLAIN)
        return
    grid = grid_of([(str(column.title), column.share) for column in section.columns], WIDTH)
    rows = (
        lines
        for record in cover.gathered.records(section)
        for cells in section.lines(record, cover.words)
        for lines in grid.wrapped(cells)
    )
    yield RowsFlowable(grid, rows)


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
