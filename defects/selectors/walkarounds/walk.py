"""What is known of one combination before a walk: its units, the last values and the open defects."""

import json
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import F, Func, JSONField, Q, Subquery, TextField
from django.db.models.functions import Cast

from common.clock import day_in_zone, end_of_day
from common.compiled import INSTANT, CompiledObjects, Parameter
from common.errors import NotFound
from defects.enums import OPEN_DEFECT_STATES, DefectState, Form
from defects.models import Defect, Measurement, Report
from defects.models.defects import NEWLY_REPAIRED, newly_repaired
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.rules.catalogue.observed import UnitFacts, assumed_axles
from defects.rules.tires import TREAD_POINTS
from defects.rules.walkarounds.looks import EarlierLook
from defects.rules.walkarounds.verdicts import Fault, ObserverOf
from defects.selectors.catalogue.catalogue import catalogue_in_force, facts_of_units, observer_of
from defects.selectors.clearance.looks import earlier_look
from defects.selectors.clearance.walk_rows import KNOWN, checks_matching
from defects.selectors.tires import TireWear, tire_wear
from fleet.models import Carrier, Mounting, Person, Unit
from fleet.rules.cooling.fuel import LOST_FOR
from fleet.selectors.carrier.carrier import effective_of, newest_policies
from fleet.selectors.units.combinations import chosen_among, keys_and_numbers, named_with_mounted, with_mounted
from fleet.selectors.units.whereabouts import left_here

REMEMBERED = timedelta(days=60)
"""Our own default: an answer on a full walk longer ago than this is not looked for, and its point is due."""

Spot = tuple[UUID, str, str]
"""Unit, point and place."""


@dataclass(frozen=True)
class WalkUnits:
    """What one statement reads: the units `named`, None for a stranger, and these with the cooling units on them.

    `zone` is the carrier's, `decided` its policies in force as JSON. Everything that is written about a unit is in its
    chain's head, but what a job learned of it.
    """

    named: Sequence[Unit | None]
    units: Sequence[Unit]
    today: date
    zone: str
    decided: str

    @property
    def state(self) -> tuple[object, ...]:
        """All that a walk over these units is laid out from, besides who walks and how late it is."""
        heads = [(unit.head, unit.air_drop) for unit in self.units]  # type: ignore[attr-defined]  # annotated
        names = [(unit.pk, unit.kind, unit.number, unit.owner) for unit in self.units]
        return load_catalogue().content_hash, self.zone, self.decided, names, heads


@dataclass(frozen=True)
class FullWalk:
    """The last full walk of a unit: when it was, and what it answers."""

    at: datetime
    catalogue: str
    look: EarlierLook


@dataclass(frozen=True)
class Assumed:
    """A unit without recorded axles: how many it is walked round with, and whether the driver counted them."""

    unit: Unit
    axles: int
    counted: bool


@dataclass(frozen=True)
class WalkContext:
    """Everything a walk over `units` is laid out from; the cooling unit mounted on a trailer is among them.

    `coupled`: whether the units run together. `one_by_one` are the places of each unit's faults that are open, deferred
    or newly repaired. `until` is when time alone changes something: a day, a value's age, what is newly repaired.
    """

    units: Sequence[Unit]
    coupled: bool
    facts: Mapping[UUID, UnitFacts]
    assumed: Sequence[Assumed]
    catalogue: Catalogue
    today: date
    zone: str
    now: datetime
    until: datetime
    last: Mapping[Spot, Measurement]
    tires: Mapping[Spot, TireWear]
    full_walks: Mapping[UUID, FullWalk]
    open_defects: Mapping[Spot, Sequence[Defect]]
    one_by_one: Mapping[UUID, AbstractSet[Fault]]
    observe: ObserverOf


def walk_units(refs: Sequence[str], *, now: datetime) -> WalkUnits:
    """The units that references name, with what is mounted on them; NotFound `carrier_missing`."""
    rows: Sequence[Any] = units_statement().fetch(**keys_and_numbers(refs), now=now)
    named = chosen_among(refs, rows)
    if rows and rows[0].zone is None:
        raise NotFound("carrier_missing")
    zone, decided = (rows[0].zone, rows[0].decided) if rows else ("UTC", "[]")
    units = with_mounted([unit for unit in named if unit is not None], rows)
    return WalkUnits(named, units, day_in_zone(now, zone), zone, decided)


@cache
def units_statement() -> CompiledObjects[Unit]:
    """The statement, for `keys`, `numbers` and `now`; a cooling unit is on the trailer that it was last mounted on."""
    decided = Func(
        ArraySubquery(newest_policies(Parameter("now", INSTANT))), function="to_jsonb", output_field=JSONField()
    )
    units = named_with_mounted(Mounting.objects.filter(span__upper_inf=True))
    return CompiledObjects(
        units.annotate(
            head=F("chain__head"),
            zone=Subquery(Carrier.objects.order_by("pk").values("time_zone")[:1]),
            decided=Cast(decided, TextField()),
            left=Cast(left_here(), TextField()),
            air_drop=F("forecast__air_drop_least_f"),
            lost_gal=F("forecast__lost_gal"),
            lost_until=F("forecast__lost_until"),
        ),
        also=("mounted_on", "head", "zone", "decided", "left", "air_drop", "lost_gal", "lost_until"),
    )


def walk_context(
    walk: WalkUnits,
    *,
    person: Person,
    now: datetime,
    coupled: bool,
    counted_axles: Mapping[str, int] = MappingProxyType({}),
) -> WalkContext:
    """Read the rest, in four statements, and two more where treads were measured.

    `counted_axles` are for units of a kind whose axles are not recorded.
    """
    keys = [unit.pk for unit in walk.units]
    facts, assumed = facts_of_units(keys, at=now), []
    for unit in walk.units:
        if not facts[unit.pk].axles and (axles := assumed_axles(unit.kind, counted_axles.get(unit.kind))):
            facts[unit.pk] = replace(facts[unit.pk], axles=axles)
            assumed.append(Assumed(unit, len(axles), unit.kind in counted_axles))
    last = last_measurements(keys)
    until = [end_of_day(walk.today, walk.zone)]
    annotated: Sequence[Any] = walk.units
    until += (unit.lost_until + LOST_FOR for unit in annotated if lost_fuel(unit, now) is not None)
    until += (value.measured_at + timedelta(days=(now - value.measured_at).days + 1) for value in last.values())
    open_defects: dict[Spot, list[Defect]] = {}
    one_by_one: dict[UUID, set[Fault]] = {}
    shown = Defect.objects.filter(
        Q(state__in=OPEN_DEFECT_STATES) | newly_repaired(now - NEWLY_REPAIRED), unit_id__in=keys
    )
    for defect in shown.select_related("current_certificate").order_by("number", "pk"):
        one_by_one.setdefault(defect.unit_id, set()).add((defect.point, defect.place))
        if defect.state in OPEN_DEFECT_STATES:
            open_defects.setdefault((defect.unit_id, defect.point, defect.place), []).append(defect)
        elif defect.state == DefectState.CLOSED and defect.current_certificate is not None:
            until.append(defect.current_certificate.certified_at + NEWLY_REPAIRED)
    decided = effective_of(walk.zone, json.loads(walk.decided))
    catalogue = catalogue_in_force(decided.policies)
    treads = {unit for unit, point, _ in last if point in TREAD_POINTS}
    return WalkContext(
        units=walk.units,
        coupled=coupled,
        facts=facts,
        assumed=assumed,
        catalogue=catalogue,
        today=walk.today,
        zone=walk.zone,
        now=now,
        until=min(until),
        last=last,
        tires=tire_wear(treads, catalogue) if treads else {},
        full_walks=last_full_walks(keys, now),
        open_defects=open_defects,
        one_by_one=one_by_one,
        observe=observer_of(person.current_roles, person.scopes_on(walk.today)),
    )


def lost_fuel(unit: Any, now: datetime) -> Decimal | None:
    """The gallons gone from a unit of `units_statement` beyond its hours, while they are told."""
    known = unit.lost_until is not None and unit.lost_until > now - LOST_FOR
    return unit.lost_gal if known else None


def last_measurements(units: Iterable[UUID]) -> dict[Spot, Measurement]:
    """The newest value at every point and place of the units, in one statement."""
    newest = (
        Measurement.objects.filter(unit_id__in=list(units))
        .order_by("unit_id", "point", "place", "-measured_at", "-pk")
        .distinct("unit_id", "point", "place")
    )
    return {(row.unit_id, row.point, row.place): row for row in newest}


def last_full_walks(units: Iterable[UUID], now: datetime) -> dict[UUID, FullWalk]:
    """The newest full walk of each unit that counts and is not too long ago, in one statement."""
    newest = (
        Report.objects.filter(
            unit_id__in=list(units),
            performed_at__gt=now - REMEMBERED,
            walkaround__conditions__form=Form.FULL,
            set_aside__isnull=True,
        )
        .order_by("unit_id", "-performed_at", "-pk")
        .distinct("unit_id")
    )
    rows = newest.values(
        "unit_id",
        "performed_at",
        "looked_at",
        kind=F("walkaround__kind"),
        conditions=F("walkaround__conditions"),
        catalogue=F("walkaround__catalogue_id"),
        left=F("left_open"),
        known=checks_matching(KNOWN),
    )
    return {row["unit_id"]: FullWalk(row["performed_at"], row["catalogue"], earlier_look({**row})) for row in rows}
