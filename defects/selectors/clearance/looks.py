"""The recent walk-arounds of one unit as facts: what each left without an answer, and what of it another answers."""

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import datetime
from types import MappingProxyType
from typing import Any

from defects.enums import Authority, WalkaroundKind
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.closed_sets import PartGroup
from defects.rules.catalogue.conditions import Match, Situation, match
from defects.rules.catalogue.observed import Conditions, UnitFacts
from defects.rules.clearance.unit_facts import LeftFact, LookFact
from defects.rules.walkarounds.grading import may_pass
from defects.rules.walkarounds.looks import FLAGGED, NO_ANSWER, EarlierLook, settles
from defects.rules.walkarounds.verdicts import Fault, unqualified
from defects.selectors.catalogue.catalogue import parsed

Row = dict[str, Any]


def looks_of(
    kind: str, rows: Sequence[Row], in_force: Catalogue, older: Mapping[str, str] = MappingProxyType({})
) -> tuple[LookFact, ...]:
    """Every recent walk-around of a unit of that kind; what the newest one no longer asks, none of them left.

    `older` are the documents of catalogues of before, by their hash.
    """
    now = _newest_conditions(rows)
    open_places = {_place(left) for row in rows for left in row["left"]}
    return tuple(
        LookFact(
            at=_at(row),
            by=row["by"],
            team_mate=row["team_mate"] or "",
            left=tuple(
                _left(left, row["kind"], in_force)
                for left in row["left"]
                if _counts(left, row["kind"], in_force) and _applies(left, kind, now, in_force)
            ),
            answers=_answers(row, open_places, kind, in_force, older) if open_places else frozenset(),
        )
        for row in rows
    )


ANYBODY = ""
"""Who drives where nobody is named."""


def who_walked_coupling(
    rows: Sequence[Row], others: Sequence[Sequence[Row]], coupled_since: str | None
) -> frozenset[str] | None:
    """Who looked at the unit's coupling to others, each with its own rows; None where there are no others.

    Each driver looks: 392.7(a) and 396.13(a) ask that whoever drives is satisfied. `ANYBODY` is among them where the
    walks of all, read as one driver's, did.
    """
    if not others:
        return None
    people = {ANYBODY, *(person for row in rows for person in (row["by"], row["team_mate"]) if person)}
    return frozenset(person for person in people if _walked_coupling(_of(person, rows), others, coupled_since))


def _of(person: str, rows: Sequence[Row]) -> list[Row]:
    return [row for row in rows if person in {ANYBODY, row["by"], row["team_mate"]}]


def _walked_coupling(rows: Sequence[Row], others: Sequence[Sequence[Row]], coupled_since: str | None) -> bool:
    """Whether one of these walks before a trip looked at the coupling.

    It did where it named them all, or was of the coupled unit once this coupling had begun. One since then that does
    not say whether the unit was coupled leaves that to those before it; any other says that it was not coupled so.
    """
    for row in sorted(_before_a_trip(rows), key=_at, reverse=True):
        coupled = Conditions.of(row["conditions"]).coupled
        if coupled is not False and all(any(row["walk"] == its["walk"] for its in other) for other in others):
            return True
        if coupled is False or coupled_since is None or _at(row) < datetime.fromisoformat(coupled_since):
            break
        if coupled:
            return True
    return False


def _answers(
    row: Row, open_places: AbstractSet[Fault], kind: str, in_force: Catalogue, older: Mapping[str, str]
) -> frozenset[Fault]:
    listed = in_force if row["catalogue"] == in_force.content_hash else parsed(older.get(row["catalogue"]))
    return settles(earlier_look(row), open_places, UnitFacts(kind), in_force, listed)


def _counts(left: Row, kind: str, in_force: Catalogue) -> bool:
    """Silence on a walk en route leaves nothing: it was asked for nothing but what it brings.

    Nor does an answer that no driver was asked for and no driver can mend: it stands flagged in its report.
    """
    point = in_force.get(left["point"])
    mechanics = point is not None and not may_pass(point, unqualified)
    if mechanics and left["why"] == FLAGGED and not left["required"]:
        return False
    return kind != WalkaroundKind.EN_ROUTE or left["why"] != NO_ANSWER


def _newest_conditions(rows: Sequence[Row]) -> Conditions:
    newest = max(_before_a_trip(rows), key=_at, default=None)
    return Conditions() if newest is None else Conditions.of(newest["conditions"])


def _before_a_trip(rows: Sequence[Row]) -> list[Row]:
    return [row for row in rows if row["kind"] != WalkaroundKind.EN_ROUTE]


def _at(row: Row) -> datetime:
    return datetime.fromisoformat(row["at"])


def _applies(left: Row, kind: str, now: Conditions, in_force: Catalogue) -> bool:
    """Whether there is such a point as the unit stands now: what only runs coupled falls away when it runs alone."""
    point = in_force.get(left["point"])
    return point is None or match(point.applies_when, Situation(UnitFacts(kind), now)) is not Match.NO


def _left(left: Row, kind: str, in_force: Catalogue) -> LeftFact:
    """A point that nobody knows any more is of no part group in particular, and nothing is asked of it."""
    point = in_force.get(left["point"])
    return LeftFact(
        point=left["point"],
        place=left["place"],
        area=PartGroup.GENERAL if point is None else point.part_group,
        statutory=point is not None and point.authority is Authority.STATUTORY,
        behind_seal=point is not None and point.behind_seal,
        why=left["why"],
        required=left["required"] and kind != WalkaroundKind.EN_ROUTE,
    )


def earlier_look(row: Row) -> EarlierLook:
    """Where nobody said that the units were coupled, its legs answer for nothing that is looked at coupled."""
    given = Conditions.of(row["conditions"])
    return EarlierLook(
        conditions=replace(given, coupled=given.coupled or False, walk_kind=row["kind"]),
        legs=frozenset(look["leg"] for look in row["looked_at"] if look["counts"]),
        answered=frozenset(_place(check) for check in row["known"]),
        left=frozenset(_place(left) for left in row["left"]),
    )


def _place(named: Row) -> Fault:
    return named["point"], named.get("place", "")
