"""What is known of one combination before a walk: its units, the last values, the open defects, the person's scopes."""

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Q

from common.clock import day_in_zone
from defects.enums import OPEN_DEFECT_STATES
from defects.models import Defect, Measurement
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.facts import UnitFacts
from defects.rules.walkarounds.assess import Fault
from defects.rules.walkarounds.judge import ObserverOf
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.catalogue.unit_facts import DETAILS, facts_of_units, observer_of, scopes_of
from defects.selectors.walkarounds.repaired_lately import NEWLY_REPAIRED, newly_repaired
from fleet.models import Mounting, Person, Unit
from fleet.selectors.carrier.policies import effective_policies

Spot = tuple[UUID, str, str]
"""Unit, point and place."""


@dataclass(frozen=True)
class WalkGround:
    """Everything a walk over `units` is laid out from; the cooling unit mounted on a trailer is among them.

    `coupled`: whether the units run together. `one_by_one` are the places of each unit's faults that are open, deferred
    or newly repaired; `scopes` what the person is qualified for.
    """

    units: Sequence[Unit]
    coupled: bool
    facts: Mapping[UUID, UnitFacts]
    catalogue: Catalogue
    today: date
    now: datetime
    last: Mapping[Spot, Measurement]
    open_defects: Mapping[Spot, Sequence[Defect]]
    one_by_one: Mapping[UUID, AbstractSet[Fault]]
    observe: ObserverOf
    scopes: AbstractSet[str]


def walk_ground(named: Sequence[Unit], *, person: Person, now: datetime, coupled: bool | None = None) -> WalkGround:
    """Read it all, in six statements. Fetch the units with `facts.DETAILS`; units named together run coupled."""
    standing = effective_policies(now=now)
    units = [*named, *mounted_on(unit for unit in named)]
    keys = [unit.pk for unit in units]
    today = day_in_zone(now, standing.zone)
    open_defects: dict[Spot, list[Defect]] = {}
    one_by_one: dict[UUID, set[Fault]] = {}
    shown = Defect.objects.filter(
        Q(state__in=OPEN_DEFECT_STATES) | newly_repaired(now - NEWLY_REPAIRED), unit_id__in=keys
    )
    for defect in shown.order_by("number", "pk"):
        one_by_one.setdefault(defect.unit_id, set()).add((defect.point, defect.place))
        if defect.state in OPEN_DEFECT_STATES:
            open_defects.setdefault((defect.unit_id, defect.point, defect.place), []).append(defect)
    scopes = scopes_of(person.pk, today)
    return WalkGround(
        units=units,
        coupled=len(named) > 1 if coupled is None else coupled,
        facts=facts_of_units(units),
        catalogue=catalogue_in_force(standing.policies),
        today=today,
        now=now,
        last=last_measurements(keys),
        open_defects=open_defects,
        one_by_one=one_by_one,
        observe=observer_of(person.current_roles, scopes),
        scopes=scopes,
    )


def mounted_on(units: Iterable[Unit]) -> list[Unit]:
    """The cooling units that are mounted now on the trailers among the units, with their details."""
    trailers = [unit.pk for unit in units]
    mounted = Mounting.objects.filter(trailer_id__in=trailers, span__upper_inf=True).values("cooling_unit_id")
    return list(Unit.objects.filter(pk__in=mounted).select_related(*DETAILS).order_by("number", "pk"))


def last_measurements(units: Iterable[UUID]) -> dict[Spot, Measurement]:
    """The newest value at every point and place of the units, in one statement."""
    newest = (
        Measurement.objects.filter(unit_id__in=list(units))
        .order_by("unit_id", "point", "place", "-measured_at", "-pk")
        .distinct("unit_id", "point", "place")
    )
    return {(row.unit_id, row.point, row.place): row for row in newest}
