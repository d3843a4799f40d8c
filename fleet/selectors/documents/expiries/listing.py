"""Asks the expiry list's statement and reads its rows: which day it is, whose rows are seen, what each one means."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast
from uuid import UUID

from django.db import connection

from common.errors import Unreadable
from fleet.enums import InspectionProgram
from fleet.models import Person
from fleet.rules.documents.as_stored import kind_on_record
from fleet.rules.documents.expected import (
    SHOWN_BY_ROLE,
    SHOWN_BY_SCOPE,
    expected_documents,
    graces,
    undecided_documents,
)
from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import PeriodEnd, Reading, stored_end
from fleet.rules.documents.qualified import PREFIX
from fleet.rules.documents.states import DocumentState
from fleet.selectors.carrier.carrier import effective_policies
from fleet.selectors.documents.expiries.expiry import Expiry, Named
from fleet.selectors.documents.expiries.request import Place, Question, Slice
from fleet.selectors.documents.expiries.responsible import Responsible, responsible_on
from fleet.selectors.documents.expiries.sql import BACKWARDS, FORWARDS
from fleet.selectors.documents.status import DocumentDay, document_day_under
from fleet.selectors.people.visible import sees_records

CONDITIONS = "document_conditions"
"""The policy that says which conditional documents apply; until it is decided, each of them is listed as not known."""

MISSING = 1
"""The rank of what is missing: after what has expired, before what will."""

MOST_ROWS = 50_000
"""The longest list that is given whole."""

NOBODY = UUID(int=0)
"""Stands for the carrier where units and people have their keys."""

_FIRST: Place = (0, "0001-01-01", "", "", "", str(NOBODY))


@dataclass(frozen=True)
class Expiries:
    """The list as one person may see it, on the carrier's present day and under its decisions."""

    person: Person
    question: Question
    day: DocumentDay
    responsible: Responsible
    decided: Mapping[str, object]

    def rows(self, part: Slice) -> list[Expiry]:
        """Return a stretch of the list in its order, in one statement."""
        with connection.cursor() as cursor:
            cursor.execute(BACKWARDS if part.backwards else FORWARDS, self._facts(part))
            names = [column.name for column in cursor.description]
            found = [self._row(dict(zip(names, row, strict=True))) for row in cursor.fetchall()]
        return found[::-1] if part.backwards else found

    def _facts(self, part: Slice) -> dict[str, Any]:
        """What the statement asks for by name."""
        kinds = load_document_kinds().values()
        conditions = cast("Mapping[str, list[str]]", self.decided.get(CONDITIONS) or {})
        states = cast("list[str]", self.decided.get("states_run") or [])
        undecided = undecided_documents(kinds) if CONDITIONS not in self.decided else ()
        needs = expected_documents(kinds, {name: set(met) for name, met in conditions.items()}, set(states))
        known = graces(kinds, self.day.today)
        rank, day, kind, name, state, key = part.beyond or _FIRST
        question = self.question
        return {
            **_columns("scopes", "scope_conditions", _pairs(SHOWN_BY_SCOPE)),
            **_columns("roles", "role_conditions", _pairs(SHOWN_BY_ROLE)),
            "grace_kinds": [grace.kind for grace in known],
            "grace_ends": [grace.ends_on for grace in known],
            "grace_last": [grace.last_day for grace in known],
            "grace_count": [grace.counts_to for grace in known],
            "need_subjects": [need.subject for need in needs],
            "need_kinds": [need.kind for need in needs],
            "undecided_subjects": [subject for subject, _ in undecided],
            "undecided_kinds": [kind for _, kind in undecided],
            "qualification": PREFIX,
            "need_states": [need.state for need in needs],
            "need_conditions": [" ".join(sorted(need.conditions)) for need in needs],
            **self.responsible.condition(question.responsible),
            **{name: getattr(question, name) for name in ("kind", "subject", "site", "unit", "person")},
            "until": question.horizon(self.day.today),
            "today": self.day.today,
            "by_month_end": self.day.reading is Reading.BY_MONTH_END,
            "state_program": InspectionProgram.STATE,
            "all_people": sees_records(self.person),
            "me": self.person.pk,
            "nobody": NOBODY,
            "everything": part.beyond is None,
            "rank": rank,
            "day": day,
            "at_kind": kind,
            "at_name": name,
            "at_state": state,
            "at_id": key,
            "limit": part.limit,
        }

    def _row(self, row: Mapping[str, Any]) -> Expiry:
        kind, qualified = kind_on_record(row["kind"]), row["kind"].startswith(PREFIX)
        missing = row["rank"] == MISSING
        undecided = missing and bool(kind.when) and CONDITIONS not in self.decided
        end = None if missing else self._end(kind, row)
        last_day = None if end is None else end.last_day(self.day.reading)
        day = None if missing else row["day"]
        grace_until = None if end is None else end.grace_until
        subject, key = row["subject"], row["key"]
        return Expiry(
            id=row["id"],
            place=(row["rank"], row["day"].isoformat(), row["kind"], row["name"], row["state"], str(row["id"])),
            kind=kind,
            subject=subject,
            unit=None if row["owner"] is None else Named(key, row["name"], row["owner"], subject),
            person=Named(key, row["name"]) if subject == "person" and key != NOBODY else None,
            site=row["site"],
            document=None if missing or qualified else row["id"],
            qualification=row["id"] if qualified else None,
            number=row["number"] or "",
            us_state=row["state"],
            starts_on=row["starts_on"],
            ends_on=row["ends_on"],
            ends_on_month=row["ends_on_month"],
            last_day=last_day,
            grace_until=grace_until,
            act_by=None if end is None else end.reminder_day(self.day.reading),
            day=day,
            days_left=None if day is None else (day - self.day.today).days,
            in_grace=bool(grace_until and end and end.by_day and end.by_day < self.day.today <= grace_until),
            status=DocumentState.NOT_KNOWN if undecided else self.day.state(kind, end),
            responsible=self.responsible.at(row["site_id"]),
            recorded_at=row["recorded_at"],
            version=row["version"] or 0,
        )

    def _end(self, kind: DocumentKind, row: Mapping[str, Any]) -> PeriodEnd:
        under_state = row["program"] == InspectionProgram.STATE
        return stored_end(kind.rule, row["ends_on"], row["ends_on_month"], under_state_program=under_state)


def expiries_for(person: Person, question: Question, *, now: datetime) -> Expiries:
    """Return the list that a person with `current_roles` may ask, in two statements; NotFound `carrier_missing`.

    Documents of units and of the carrier are seen by everybody, those of people by whoever sees people's records, and
    one's own by oneself.
    """
    effective = effective_policies(now=now)
    day = document_day_under(effective, now=now)
    return Expiries(person, question, day, responsible_on(day.today), effective.policies)


def whole_list(expiries: Expiries) -> list[Expiry]:
    """Return every row in order, in one statement; Unreadable `list_too_long` above `MOST_ROWS`."""
    rows = expiries.rows(Slice(MOST_ROWS + 1))
    if len(rows) > MOST_ROWS:
        raise Unreadable("list_too_long", max_rows=MOST_ROWS)
    return rows


def _pairs(shown_by: Mapping[str, Iterable[str]]) -> list[tuple[str, str]]:
    return [(name, condition) for condition, names in shown_by.items() for name in sorted(names)]


def _columns(first: str, second: str, pairs: Sequence[tuple[str, str]]) -> dict[str, list[str]]:
    return {first: [pair[0] for pair in pairs], second: [pair[1] for pair in pairs]}
