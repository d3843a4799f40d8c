"""Everything one walk-around is judged and stored against, read once its units are locked. Writes nothing but locks."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Exists, OuterRef, Q

from common.errors import Conflict
from defects.enums import OPEN_DEFECT_STATES, CertificateKind, DefectState
from defects.models import Defect, Report, Sighting
from defects.rules.assess import Assessment, Fault
from defects.rules.merging import KnownDefect
from defects.selectors.companions import Companions, companions_of, queries_beside
from fleet.models import Unit
from fleet.services.history import Ledger, lock_units

COMEBACK_WINDOW = timedelta(days=730)
"""Our own default: how far back a repaired fault is still linked to the one found now."""


class UnitsMovedError(Conflict):
    """Mountings or couplings changed while waiting for the locks; the whole write is tried again."""


@dataclass(frozen=True)
class Scene:
    """The locked units by the reference that was given, with what stands beside them."""

    units: Mapping[str, Unit]
    companions: Companions
    ledger: Ledger


@dataclass
class KnownDefects:
    """The stored defects a walk-around may touch, by key and, on each unit, by fault.

    `seen_later` are those that somebody found after the walk-around was done: nothing on it can have ended them.
    """

    by_key: dict[UUID, Defect] = field(default_factory=dict)
    seen_later: set[UUID] = field(default_factory=set)
    open: dict[UUID, dict[Fault, KnownDefect]] = field(default_factory=dict)
    ended: dict[UUID, dict[Fault, KnownDefect]] = field(default_factory=dict)


def lock_scene(units: Mapping[str, Unit], performed_at: datetime) -> Scene:
    """Lock the units and all that stand with them, in key order, then read again what stands with them.

    UnitsMovedError when that has become more than was locked.
    """
    named = {unit.pk for unit in units.values()}
    ledger = lock_units(named, beside=queries_beside(named, performed_at))
    companions = companions_of(named, performed_at)
    if not companions.units <= ledger.units:
        raise UnitsMovedError("units_moved")
    return Scene(units, companions, ledger)


def defects_of(
    units: Iterable[Unit], assessed: Iterable[tuple[Report, Assessment]], performed_at: datetime
) -> KnownDefects:
    """The open defects of the units, and the repaired ones at the points found wrong, in one statement."""
    points = {judged.given.point for _, assessment in assessed for judged in assessment.findings}
    repaired = Q(
        point__in=points,
        state__in=(DefectState.CERTIFIED, DefectState.CLOSED),
        current_certificate__kind=CertificateKind.REPAIRED,
        current_certificate__certified_at__gte=performed_at - COMEBACK_WINDOW,
    )
    later = Sighting.objects.filter(defect=OuterRef("pk"), seen_at__gt=performed_at)
    rows = (
        Defect.objects.filter(Q(state__in=OPEN_DEFECT_STATES) | repaired, unit__in=list(units))
        .annotate(seen_later=Exists(later))
        .select_related("current_certificate")
        .order_by("current_certificate__certified_at", "pk")
    )
    known = KnownDefects()
    for defect in rows:
        known.by_key[defect.pk] = defect
        if defect.seen_later or defect.found_at > performed_at:
            known.seen_later.add(defect.pk)
        if not defect.point:
            continue
        certificate = defect.current_certificate
        certified_at = None if certificate is None else certificate.certified_at
        side = known.open if defect.state in OPEN_DEFECT_STATES else known.ended
        fault = (defect.point, defect.place)
        side.setdefault(defect.unit_id, {})[fault] = KnownDefect(defect.pk, defect.severity, defect.bars, certified_at)
    return known
