"""What is known of one combination before a walk: its units, the last values and the open defects."""

import json
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import F, Func, JSONField, Q, Subquery, TextField
from django.db.models.functions import Cast

from common.clock import day_in_zone, end_of_day
from common.compiled import INSTANT, CompiledObjects, Parameter
from common.errors import NotFound
from defects.enums import OPEN_DEFECT_STATES, DefectState
from defects.models import Defect, Measurement
from defects.models.defects import NEWLY_REPAIRED, newly_repaired
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.rules.catalogue.observed import UnitFacts
from defects.rules.tires import TREAD_POINTS
from defects.rules.walkarounds.verdicts import Fault, ObserverOf
from defects.selectors.catalogue.catalogue import catalogue_in_force, facts_of_units, observer_of
from defects.selectors.tires import TireWear, tire_wear
from fleet.models import Carrier, Mounting, Person, Unit
from fleet.selectors.carrier.carrier import effective_of, newest_policies
from fleet.selectors.units.combinations import chosen_among, keys_and_numbers, named_with_mounted, with_mounted

Spot = tuple[UUID, str, str]
"""Unit, point and place."""


@dataclass(frozen=True)
class WalkUnits:
    """What one statement reads: the units `named`, None for a stranger, and these with the cooling units on them.

    `zone` is the carrier's, `decided` its policies in force as JSON. Everything that is written about a unit is in its
    chain's head.
    """

    named: Sequence[Unit | None]
    units: Sequence[Unit]
    today: date
    zone: str
    decided: str

    @property
    def state(self) -> tuple[object, ...]:
        """All that a walk over these units is laid out from, besides who walks and how late it is."""
        heads = [unit.head for unit in self.units]  # type: ignore[attr-defined]  # annotated
        names = [(unit.pk, unit.kind, unit.number, unit.owner) for unit in self.units]
        return load_catalogue().content_hash, self.zone, self.decided, names, heads


@dataclass(frozen=True)
class WalkGround:
    """Everything a walk over `units` is laid out from; the cooling unit mounted on a trailer is among them.

    `coupled`: whether the units run together. `one_by_one` are the places of each unit's faults that are open, deferred
    or newly repaired. `until` is when time alone changes something: a day, a value's age, what is newly repaired.
    """

    units: Sequence[Unit]
    coupled: bool
    facts: Mapping[UUID, UnitFacts]
    catalogue: Catalogue
    today: date
    now: datetime
    until: datetime
    last: Mapping[Spot, Measurement]
    tires: Mapping[Spot, TireWear]
    open_defects: Mapping[Spot, Sequence[Defect]]
    one_by_one: Mapping[UUID, AbstractSet[Fault]]
    zone: str
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
        ),
        also=("mounted_on", "head", "zone", "decided"),
    )


def walk_ground(walk: WalkUnits, *, person: Person, now: datetime, coupled: bool) -> WalkGround:
    """Read the rest, in three statements, and two more where treads were measured."""
    keys = [unit.pk for unit in walk.units]
    last = last_measurements(keys)
    until = [end_of_day(walk.today, walk.zone)]
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
    return WalkGround(
        units=walk.units,
        coupled=coupled,
        facts=facts_of_units(keys),
        catalogue=catalogue,
        today=walk.today,
        now=now,
        until=min(until),
        last=last,
        tires=tire_wear(treads, catalogue) if treads else {},
        open_defects=open_defects,
        one_by_one=one_by_one,
        zone=walk.zone,
        observe=observer_of(person.current_roles, person.scopes_on(walk.today)),
    )


def last_measurements(units: Iterable[UUID]) -> dict[Spot, Measurement]:
    """The newest value at every point and place of the units, in one statement."""
    newest = (
        Measurement.objects.filter(unit_id__in=list(units))
        .order_by("unit_id", "point", "place", "-measured_at", "-pk")
        .distinct("unit_id", "point", "place")
    )
    return {(row.unit_id, row.point, row.place): row for row in newest}
