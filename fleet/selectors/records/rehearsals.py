"""An audit rehearsal: units pulled at random, each with the gaps that every app finds in its file. Stores nothing."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Q, QuerySet

from common.clock import day_in_zone
from common.composition import contributed
from fleet.models import Unit
from fleet.rules.records.rehearsal import Candidate, Gap, draw
from fleet.selectors.carrier.carrier import the_carrier
from fleet.selectors.records.audit_gaps import Audited, AuditGaps

CONTROLLED_DAYS = 30
"""396.3(b) asks for the file of a vehicle that is controlled for 30 consecutive days."""


@dataclass(frozen=True)
class Rehearsal:
    """What was pulled on which day by which seed, and the gaps by unit, in the order of the pulls."""

    seed: int
    today: date
    pulled: Sequence[tuple[Unit, Sequence[Gap]]]


def rehearse(*, count: int, seed: int, now: datetime) -> Rehearsal:
    """Pull units and find their gaps, in as many statements for many as for few. NotFound `carrier_missing`."""
    zone = the_carrier().time_zone
    today = day_in_zone(now, zone)
    units = {unit.pk: unit for unit in _candidates(today)}
    pulled = draw([Candidate(unit.pk, unit.kind, str(unit)) for unit in units.values()], count, seed)
    audited = Audited([units[one.key] for one in pulled], now, today, zone)
    gaps = [gap for finder in contributed(AuditGaps) for gap in finder.find(audited)]
    return Rehearsal(seed, today, [(unit, [gap for gap in gaps if gap.unit == unit.pk]) for unit in audited.units])


def _candidates(today: date) -> QuerySet[Unit]:
    """Our own units in service, and those of others that we have controlled for long enough."""
    long_enough = Q(in_control_since__lte=today - timedelta(days=CONTROLLED_DAYS))
    return Unit.objects.filter(Q(owner="") | long_enough, retired_on__isnull=True).order_by("pk")
