"""What can be asked of the expiry list, and which stretch of it is wanted."""

from dataclasses import dataclass
from datetime import date
from uuid import UUID

Place = tuple[int, str, str, str, str, str]
"""Where a row stands in the list: rank, day, kind, whose it is, State, key; days as ISO text."""


@dataclass(frozen=True)
class Question:
    """What the list is cut down to; None does not cut.

    `ends_by` is the last day that an end may lie on; without it every document that ends is listed. `unit` and
    `responsible` are keys, `site` is a site's code, `subject` one of `fleet.rules.documents.kinds.SUBJECTS`.
    """

    ends_by: date | None = None
    within_days: int | None = None
    kind: str | None = None
    subject: str | None = None
    site: str | None = None
    unit: UUID | None = None
    person: UUID | None = None
    responsible: UUID | None = None

    def horizon(self, today: date) -> date | None:
        """Return the earlier of both ways to give a horizon; None without one."""
        given = [] if self.within_days is None else [date.fromordinal(today.toordinal() + self.within_days)]
        if self.ends_by is not None:
            given.append(self.ends_by)
        return min(given, default=None)


@dataclass(frozen=True)
class Slice:
    """At most `limit` rows after the place `beyond`, or before it when read `backwards`; None is the list's end."""

    limit: int
    beyond: Place | None = None
    backwards: bool = False
