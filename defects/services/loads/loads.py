"""Loads as the shipper ordered them: recorded, changed until they are delivered, called off. Moves are in `loading`."""

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from common.canonical import plain
from common.errors import FieldProblem, Invalid, NotFound, Unavailable
from common.versions import require_version
from defects.enums import OPEN_DEFECT_STATES, TemperatureClass
from defects.models import Defect, Load
from defects.rules.loads import product_of
from defects.selectors.loads.loads import bars_of, load_state, seal_waits
from defects.services.loads.at_risk import open_loads_at_risk
from defects.services.loads.barred_loading import refuse_barred_loading
from defects.services.loads.outside_range import put_at_risk_by_product
from defects.transitions import LOADS
from fleet.models import Person, Unit
from fleet.rules.documents.kinds import STATES
from fleet.selectors.units.combinations import Combination, combination_of, mounted_beside
from fleet.services.records.edits import log_change
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work

COLDEST_F, WARMEST_F = -40, 90
"""What a transport cooling unit can be set to; from memory."""
HEAVIEST_LB = 100_000
"""More freight than any combination carries, permits included: our own figure."""
NUMBER = re.compile(r"[A-Z0-9][A-Z0-9._-]{0,39}")
"""What stands in an address and is read out over a telephone; kept in capital letters."""


@transaction.atomic
def record_load(*, facts: Mapping[str, object], actor: Person, now: datetime) -> Load:
    """Record a load; Invalid `load_refused` with what is wrong at each field. The database keeps numbers unique."""
    load = Load(**facts, recorded_at=now, recorded_by=actor)
    load.number = load.number.upper()
    refuse_bad(load, now)
    load.save(force_insert=True)
    log_change(load, "recorded", actor, facts)
    return load


def edit_load(
    *, load_id: UUID, version: int | None, changes: Mapping[str, object], actor: Person, now: datetime
) -> Load:
    """Change what was ordered, until the load is delivered or called off; its trailer's history says what.

    A load in a trailer becomes a cold one, or food, only where such a one might have been loaded, and is at risk from
    the start under a fault found since, or by a product outside its range. Another seal is to be compared anew, and
    decides over one that was read. PreconditionFailed `version_changed`, and those of the table, of `record_load` and
    of `refuse_barred_loading`.
    """
    with locked_load(load_id=load_id, actor=actor, now=now) as (work, load, combination):
        require_version(load, version)
        refuse_load_action(work, load, "edit")
        before, product_before = {name: getattr(load, name) for name in changes}, product_of(load)
        for name, value in changes.items():
            setattr(load, name, value)
        load.number = load.number.upper()
        changed = {name: value for name, value in before.items() if getattr(load, name) != value}
        refuse_bad(load, now)
        if not changed:
            return load
        newly_barred = changed.get("temperature_class") == TemperatureClass.DRY or changed.get("food") is False
        if load.loaded_at is not None and load.trailer_id is not None:
            if newly_barred:
                refuse_barred_loading(load, load.trailer_id, combination, loaded_at=load.loaded_at)
            body = {"was": plain(changed), "is": plain({name: getattr(load, name) for name in changed})}
            record_of_load(work, load, load.trailer_id, "load_changed", body, at=now)
        if "seal" in changed:
            load.seal_checked_at = load.seal_checked_by = None
            if seal_waits(load):
                load.seal_decision, load.seal_decided_at, load.seal_decided_by = load.seal, now, actor
        seals = ("seal_checked_at", "seal_checked_by", "seal_decision", "seal_decided_at", "seal_decided_by")
        work.save(load, *changes, *seals)
        if newly_barred:
            open_for_faults_since_loading(work, load, combination)
        put_at_risk_by_product(load, product_before, work)
        log_change(load, "edited", actor, changed)
        return load


def cancel_load(*, load_id: UUID, version: int | None, reason: str, actor: Person, now: datetime) -> Load:
    """Call a load off that is in no trailer. PreconditionFailed `version_changed`, and those of the table."""
    with locked_load(load_id=load_id, actor=actor, now=now) as (work, load, _):
        require_version(load, version)
        refuse_load_action(work, load, "cancel", {"reason": reason.strip()})
        load.cancelled_at, load.cancel_reason = now, reason
        work.save(load, "cancelled_at", "cancel_reason")
        log_change(load, "cancelled", actor)
        return load


@contextmanager
def locked_load(
    *, load_id: UUID, trailer: Unit | None = None, actor: Person, now: datetime
) -> Iterator[tuple[UnitOfWork, Load, Combination]]:
    """Lock the trailer a load is in and one it is to go into, what is mounted on them, and then the load.

    NotFound `load_unknown`; Unavailable `busy` when the load was put elsewhere meanwhile.
    """
    known = Load.objects.filter(pk=load_id).values_list("trailer_id", flat=True)
    if not known:
        raise NotFound("load_unknown")
    trailers = {key for key in (known[0], None if trailer is None else trailer.pk) if key is not None}
    with unit_of_work(trailers, beside=mounted_beside, actor=actor, now=now) as work:
        combination = combination_of(trailers, now) if trailers else Combination(frozenset(), frozenset())
        load = Load.objects.select_for_update(no_key=True).get(pk=load_id)
        if load.trailer_id is not None and load.trailer_id not in work.units:
            raise Unavailable("busy", retry_after=1)
        yield work, load, combination


def refuse_load_action(
    work: UnitOfWork, load: Load, action: str, given: Mapping[str, object] | Collection[str] = ()
) -> None:
    """Refuse an action that the table does not allow here, as `TransitionTable.resolve` does."""
    LOADS.resolve(action, load_state(load), work.roles, given)


def record_of_load(
    work: UnitOfWork, load: Load, trailer: UUID, kind: str, body: Mapping[str, object], *, at: datetime
) -> None:
    """Note one thing of a load in a trailer's history."""
    work.record(trailer, kind, subject=load.pk, performed_at=at, body={"load": load.number, **body})


def open_for_faults_since_loading(work: UnitOfWork, load: Load, combination: Combination) -> None:
    """Faults found between the loading and its being recorded put a load at risk from the start."""
    trailer, loaded_at = load.trailer_id, load.loaded_at
    bars = bars_of(load)
    if trailer is None or loaded_at is None or not bars:
        return
    units = [trailer, *(cooling for carrier, cooling in combination.mounted if carrier == trailer)]
    faults = Defect.objects.filter(
        unit_id__in=units, state__in=OPEN_DEFECT_STATES, bars__in=bars, found_at__gt=loaded_at
    )
    found = list(faults.select_related("found_by").order_by("found_at", "pk"))
    if found:
        open_loads_at_risk(
            found,
            fresh={defect.pk for defect in found},
            mounted=combination.mounted,
            work=work,
        )


def refuse_bad(load: Load, now: datetime) -> None:
    """Invalid `load_refused` with what is wrong at each field."""
    problems = []
    if not NUMBER.fullmatch(load.number):
        problems.append(FieldProblem("/number", "load_number_malformed"))
    if load.temperature_class != TemperatureClass.DRY and load.setpoint_f is None:
        problems.append(FieldProblem("/setpoint_f", "setpoint_missing"))
    if load.lowest_f is not None and load.highest_f is not None and load.highest_f < load.lowest_f:
        problems.append(FieldProblem("/highest_f", "temperatures_out_of_order"))
    if load.doors_opened_at and load.doors_closed_at and load.doors_closed_at < load.doors_opened_at:
        problems.append(FieldProblem("/doors_closed_at", "doors_closed_before_opening"))
    problems += [
        FieldProblem(f"/{name}", "instant_in_future")
        for name in ("doors_opened_at", "doors_closed_at")
        if (at := getattr(load, name)) is not None and at > now
    ]
    if load.weight_lb is not None and load.weight_lb > HEAVIEST_LB:
        problems.append(FieldProblem("/weight_lb", "weight_implausible", {"least": 1, "most": HEAVIEST_LB}))
    if load.setpoint_f is not None and _outside(load):
        problems.append(FieldProblem("/setpoint_f", "setpoint_outside_range"))
    problems += [
        FieldProblem(f"/{name}", "temperature_implausible")
        for name in ("setpoint_f", "lowest_f", "highest_f", "product_f")
        if (degrees := getattr(load, name)) is not None and not COLDEST_F <= degrees <= WARMEST_F
    ]
    problems += [
        FieldProblem(f"/us_states/{index}", "state_unknown")
        for index, state in enumerate(load.us_states)
        if state not in STATES
    ]
    problems += _bad_permits(load.overweight_permits)
    if problems:
        raise Invalid("load_refused", problems=problems)


def _bad_permits(permits: Sequence[Mapping[str, Any]]) -> Iterator[FieldProblem]:
    for index, permit in enumerate(permits):
        if permit["us_state"] not in STATES:
            yield FieldProblem(f"/overweight_permits/{index}/us_state", "state_unknown")
        if permit["ends_on"] < permit["starts_on"]:  # ISO days
            yield FieldProblem(
                f"/overweight_permits/{index}/ends_on",
                "end_before_beginning",
                {"beginning": date.fromisoformat(permit["starts_on"])},
            )
        if not any(permit[name] for name in ("axle_lb", "tandem_lb", "group_lb", "gross_lb")):
            yield FieldProblem(f"/overweight_permits/{index}", "permit_without_weight")


def _outside(load: Load) -> bool:
    low, high, ordered = load.lowest_f, load.highest_f, load.setpoint_f
    return ordered is not None and ((low is not None and ordered < low) or (high is not None and ordered > high))
