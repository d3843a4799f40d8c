"""Units of others that a walk-around brings with it: added with what can be taken, the rest queried, never refused."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from django.db import IntegrityError

from common.errors import Invalid
from defects.rules.submission import GivenUnit
from defects.services.walkarounds.rows import Queried
from fleet.enums import UnitKind
from fleet.models import Person
from fleet.rules.references import is_ours
from fleet.rules.unit_facts import fact_problems
from fleet.services.units_of_others import add_unit_of_others

VIN_UNIQUE = "unit_vin_unique"
"""The constraint that a VIN of another unit runs into."""


def add_others(given: Sequence[GivenUnit], *, carrier: str, since: date, actor: Person, now: datetime) -> list[Queried]:
    """Add the units that nobody added before, in the order of owner and number; what is queried about them.

    A unit whose number or owner cannot be one is not added, so that the report on it names no known unit; nor is one
    said to be of the carrier itself: its own are on record, and a second row of one would hide what is found on it.
    """
    queried: list[Queried] = []
    for unit in sorted(given, key=lambda unit: (unit.owner.upper(), unit.number.upper())):
        naming = {"number": unit.number, "owner": unit.owner}
        facts = {"vin": unit.vin.upper(), "plate": unit.plate, "plate_state": unit.plate_state.upper()}
        wrong = {problem.field for problem in fact_problems(unit.kind, {**naming, **facts}, now.year)}
        if is_ours(unit.owner, carrier):
            wrong.add("owner")
        queried += [_query("unit_fact_unusable", unit, given=getattr(unit, fact)) for fact in sorted(wrong)]
        if wrong.isdisjoint(naming):
            usable = {fact: value for fact, value in facts.items() if value and fact not in wrong}
            queried += _add(unit, usable, since, actor, now)
    return queried


def _add(unit: GivenUnit, facts: Mapping[str, str], since: date, actor: Person, now: datetime) -> list[Queried]:
    try:
        add_unit_of_others(
            kind=UnitKind(unit.kind),
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
        return [_query("unit_kind_differs", unit, given=unit.kind)]
    except IntegrityError as error:
        if getattr(getattr(error.__cause__, "diag", None), "constraint_name", "") != VIN_UNIQUE:
            raise
        without = {fact: value for fact, value in facts.items() if fact != "vin"}
        return [_query("unit_vin_known", unit, given=facts["vin"]), *_add(unit, without, since, actor, now)]
    return []


def _query(code: str, unit: GivenUnit, *, given: str) -> Queried:
    return {"code": code, "facts": {"unit": f"{unit.number}@{unit.owner}", "given": given}}
