"""In which order and under which headings a message tells its notices. Holds no words."""

from collections.abc import Iterable, Iterator
from itertools import groupby

from django.db.models import Case, IntegerField, QuerySet, Value, When
from django.db.models.fields.json import KT

from fleet.models import Notice
from fleet.rules.documents.reminders import ENDING, IN_GRACE, MISSING, OVERDUE

HAPPENED = "letter_group_happened"

GROUPS = (
    (HAPPENED, ()),
    ("letter_group_unanswered", ("unanswered_days",)),
    ("letter_group_overdue", (OVERDUE,)),
    ("letter_group_missing", (MISSING,)),
    ("letter_group_in_grace", (IN_GRACE,)),
    ("letter_group_ending", (ENDING,)),
)
"""Headings with the codes under them, in order; the first takes every code that no other names."""

_PLACE = {code: place for place, (_, codes) in enumerate(GROUPS) for code in codes}


def as_told(notices: QuerySet[Notice]) -> QuerySet[Notice]:
    """The notices by group, papers by their last day, the rest as they came."""
    place = Case(
        *(When(code__in=codes, then=Value(place)) for place, (_, codes) in enumerate(GROUPS) if codes),
        default=Value(0),
        output_field=IntegerField(),
    )
    return notices.order_by(place, KT("facts__ends_on").asc(nulls_first=True), "owed_at", "pk")


def in_order(notices: Iterable[Notice]) -> list[Notice]:
    """The same order, of notices whose codes and days are no longer those that are stored."""

    def place(notice: Notice) -> tuple[object, ...]:
        return _PLACE.get(notice.code, 0), str(notice.facts.get("ends_on", "")), notice.owed_at, notice.pk

    return sorted(notices, key=place)


def in_groups(notices: Iterable[Notice]) -> Iterator[tuple[str, list[Notice]]]:
    """Notices in that order, by the code of their heading."""
    for place, group in groupby(notices, key=lambda notice: _PLACE.get(notice.code, 0)):
        yield GROUPS[place][0], list(group)
