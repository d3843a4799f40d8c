"""The columns of the expiry list as a table: a name for programs, a title for people, and each row's value."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from fleet.api.documents import expiry_sentences as sentences
from fleet.selectors.documents.expiries.expiry import Expiry

Cell = str | int | date | bool | None


@dataclass(frozen=True)
class Column:
    """One column. `width` is in characters; 0 leaves it out of the sheet, which has to fit a page."""

    name: str
    title: str | Promise
    width: int
    value: Callable[[Expiry, str], Cell]


COLUMNS: Sequence[Column] = (
    Column("whose", _("Subject"), 18, sentences.whose),
    Column("subject", _("Of what"), 13, lambda row, _lang: row.subject),
    Column("site", _("Site"), 16, lambda row, _lang: row.site),
    Column("kind", _("Kind"), 0, lambda row, _lang: row.kind.name),
    Column("kind_text", _("Document"), 30, sentences.kind_in_words),
    Column("number", _("Number"), 14, lambda row, _lang: row.number),
    Column("us_state", _("State"), 7, lambda row, _lang: row.us_state),
    Column("starts_on", _("First day"), 0, lambda row, _lang: row.starts_on),
    Column("ends_on", _("By day"), 11, lambda row, _lang: row.ends_on),
    Column("ends_on_month", _("By month end"), 13, lambda row, _lang: row.ends_on_month),
    Column("last_day", _("Last day"), 11, lambda row, _lang: row.last_day),
    Column("grace_until", _("Grace until"), 0, lambda row, _lang: row.grace_until),
    Column("days_left", _("Days left"), 10, lambda row, _lang: row.days_left),
    Column("status", _("Status"), 10, lambda row, _lang: row.status),
    Column("in_grace", _("In grace"), 0, lambda row, _lang: "true" if row.in_grace else "false"),
    Column("says", _("What it is today"), 34, sentences.sentence),
    Column("responsible", _("Responsible"), 18, lambda row, _lang: "; ".join(each.name for each in row.responsible)),
    Column("source", _("Rule"), 40, lambda row, _lang: row.kind.source.text),
    Column("id", _("Key"), 0, lambda row, _lang: str(row.id)),
    Column("link", _("Link"), 0, lambda row, _lang: row.link),
)


def table(rows: Sequence[Expiry], language: str) -> list[list[Cell]]:
    """Return the value of every column for every row."""
    return [[column.value(row, language) for column in COLUMNS] for row in rows]
