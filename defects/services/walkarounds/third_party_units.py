"""Units of others that a walk-around brings with it: added with what can be taken, the rest flagged, never refused."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import IntegrityError

from common.errors import Invalid
from defects.rules.walkarounds.body import UnitBody
from defects.services.walkarounds.judging import Flagged
from fleet.enums import UnitKind
from fleet.models import Person
from fleet.rules.units.description import fact_problems
from fleet.rules.units.references import is_ours
from fleet.services.records.unit_of_work import UnitOfWork
from fleet.services.units.third_party_units import add_third_party_unit, complete_third_party_unit

VIN_UNIQUE = "unit_vin_unique"
"""The constraint that a VIN of another unit runs into."""


@dataclass(frozen=True)
class Met:
    """A third-party unit that is on record now, and what of it can be taken."""

    unit: UUID
    given: UnitBody
    facts: Mapping[str, str]


def add_third_party_units(
    given: Sequence[UnitBody], *, carrier: str, since: date, actor: Person, now: datetime
) -> tuple[list[Met], list[Flagged]]:
    """Add the units that nobody added before, in the order of owner and number; those met, and what is flagged.

    A unit whose number or owner cannot be one is not added, so that the report on it names no known unit; nor is one
    said to be of the carrier itself: its own are on record, and a second row of one would hide what is found on it.
    """
    met: list[Met] = []
    flags: list[Flagged] = []
    named = (unit for unit in given if unit.kind is not None)
    for unit in sorted(named, key=lambda unit: (unit.owner.upper(), unit.number.upper())):
        naming = {"number": unit.number, "owner": unit.owner}
        facts = {"vin": unit.vin.upper(), "plate": unit.plate, "plate_state": unit.plate_state.upper()}
        wrong = {problem.field for problem in fact_problems(str(unit.kind), {**naming, **facts}, now.date())}
        if is_ours(unit.owner, carrier):
            wrong.add("owner")
        flags += [_flag_of("unit_fact_unusable", unit, given=getattr(unit, fact)) for fact in sorted(wrong)]
        if wrong.isdisjoint(naming):
            usable = {fact: value for fact, value in facts.items() if value and fact not in wrong}
            found, refused = _add(unit, usable, since, actor, now)
            met += found
            flags += refused
    return met, flags


def complete_third_party_units(met: Iterable[Met], work: UnitOfWork) -> list[Flagged]:
    """Take what nobody had recorded of units known before, which are locked; what differs from the record is flagged.

    A plate that was left out the first time comes with the second walk-around, and is never dropped.
    """
    return [flag for item in met for flag in _complete(item, item.facts, work)]


def _complete(item: Met, facts: Mapping[str, str], work: UnitOfWork) -> list[Flagged]:
    try:
        differs = complete_third_party_unit(work=work, unit_id=item.unit, facts=facts)
    except IntegrityError as error:
        if not _is_known_vin(error):
            raise
        without = {fact: value for fact, value in facts.items() if fact != "vin"}
        known = _flag_of("unit_vin_known", item.given, given=facts["vin"])
        return [known, *_complete(item, without, work)]
    return [
        _flag_of("unit_fact_differs", item.given, given=facts[fact], recorded=recorded)
        for fact, recorded in sorted(differs.items())
    ]


def _add(
    unit: UnitBody, facts: Mapping[str, str], since: date, actor: Person, now: datetime
) -> tuple[list[Met], list[Flagged]]:
    try:
        added = add_third_party_unit(
            kind=UnitKind(str(unit.kind)),
            number=unit.number,
            owner=unit.owner,
            actor=actor,
            now=now,
            in_control_since=since,
            facts=facts,
        )
    except Invalid as refused:
        if refused.code != "unit_kind_differs":
            raise
        return [], [_flag_of("unit_kind_differs", unit, given=str(unit.kind))]
    except IntegrityError as error:
        if not _is_known_vin(error):
            raise
        without = {fact: value for fact, value in facts.items() if fact != "vin"}
        met, flags = _add(unit, without, since, actor, now)
        return met, [_flag_of("unit_vin_known", unit, given=facts["vin"]), *flags]
    return [Met(added.pk, unit, facts)], []


def _is_known_vin(error: IntegrityError) -> bool:
    return getattr(getattr(error.__cause__, "diag", None), "constraint_name", "") == VIN_UNIQUE


def _flag_of(code: str, unit: UnitBody, **facts: str) -> Flagged:
    return {"code": code, "facts": {"unit": f"{unit.number}@{unit.owner}", **facts}}
