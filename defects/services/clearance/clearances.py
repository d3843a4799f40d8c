"""Answering dispatch: read, judge, record the clearance request. Nobody overrides an answer; asking again is free."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from common.canonical import in_utc, plain
from common.compiled import insert
from common.errors import FieldProblem, Invalid
from defects.models import Clearance
from defects.rules.clearance.answer import ClearanceJudgement, Ending, Facts, LeftOpen, Reason, Unknown
from defects.selectors.clearance.answer import answer_for
from defects.selectors.clearance.trips import Named, Trip, trip_facts
from fleet.enums import UnitKind
from fleet.models import Person
from fleet.rules.documents.kinds import STATES
from fleet.rules.units.combinations import MAX_TRAILERS
from fleet.selectors.carrier.carrier import EffectivePolicies


@dataclass(frozen=True)
class Answered:
    """One asking on record, with the driver and load it was about and the carrier's decisions it was answered under."""

    clearance: Clearance
    driver: Named | None
    load: Named | None
    effective: EffectivePolicies


def request_clearance(*, trip: Trip, actor: Person, now: datetime) -> Answered:
    """Answer whether the units may roll, from one snapshot of the database, and keep what was asked and answered.

    Invalid `arrival_before_departure`, `no_units`, `unit_retired`, `combination_impossible` for two tractors or the
    like, `state_unknown`, `cooling_unit_elsewhere` for one that is on none of the trailers asked for, and those of
    `trip_facts`.
    """
    _refuse_impossible(trip)
    facts = trip_facts(trip, now=now)
    if facts.snapshot.cooling_elsewhere:
        raise Invalid("cooling_unit_elsewhere", pointer="/units", unit=facts.snapshot.cooling_elsewhere[0])
    answer = answer_for(facts.snapshot)
    stored = Clearance(
        requested_by=actor,
        requested_at=now,
        load_id=None if facts.load is None else facts.load.key,
        driver_id=None if facts.driver is None else facts.driver.key,
        departure=trip.departure,
        arrival=trip.arrival,
        miles=trip.miles,
        us_states=list(trip.us_states),
        answer=answer.answer,
        **answer_columns(answer),
    )
    through = Clearance.units.through
    insert([stored, *(through(clearance_id=stored.pk, unit_id=unit.pk) for unit in trip.units)])
    return Answered(stored, facts.driver, facts.load, facts.effective)


def answer_columns(answer: ClearanceJudgement) -> dict[str, Any]:
    """An answer as it is stored and shown: codes and facts, worded only for a reader."""
    first = answer.first_to_end_it
    return {
        "reasons": [_reason(reason) for reason in answer.reasons],
        "unknown": [{**_said(row), "ends_when": str(row.ends_when)} for row in answer.unknown],
        "left_open": [_said(row) for row in answer.left_open],
        "valid_until": answer.valid_until,
        "first_to_end_it": None if first is None else {"at": _instant(first.leave_by), **_said(first)},
    }


def _refuse_impossible(trip: Trip) -> None:
    if not trip.units:
        raise Invalid("no_units", pointer="/units")
    if trip.arrival < trip.departure:
        raise Invalid("arrival_before_departure", pointer="/arrival")
    unknown = [
        FieldProblem(f"/us_states/{at}", "state_unknown")
        for at, state in enumerate(trip.us_states)
        if state not in STATES
    ]
    if unknown:
        raise Invalid("state_unknown", problems=unknown)
    retired = [unit for unit in trip.units if unit.retired_on is not None]
    if retired:
        raise Invalid("unit_retired", pointer="/units", unit=str(retired[0]), retired_on=retired[0].retired_on)
    kinds = [unit.kind for unit in trip.units]
    twice = len({unit.pk for unit in trip.units}) != len(kinds)
    if twice or kinds.count(UnitKind.TRACTOR) > 1 or kinds.count(UnitKind.TRAILER) > MAX_TRAILERS:
        raise Invalid("combination_impossible", pointer="/units")


def _reason(reason: Reason) -> dict[str, object]:
    return {
        "kind": str(reason.kind),
        **_said(reason),
        "source": reason.source,
        "ends_when": str(reason.ends_when),
        "since": _instant(reason.since),
        "expected_at": _instant(reason.expected_at),
    }


def _said(row: Reason | Unknown | LeftOpen | Ending) -> dict[str, object]:
    return {"code": str(row.code), "unit": row.unit, "facts": _facts(row.facts)}


def _facts(facts: Facts) -> dict[str, object]:
    return {name: in_utc(value) if isinstance(value, datetime) else plain(value) for name, value in facts}


def _instant(instant: datetime | None) -> str | None:
    return None if instant is None else in_utc(instant)
