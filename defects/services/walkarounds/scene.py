"""Everything one walk-around is judged and stored against, read once its units are locked. Writes nothing but locks."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Q

from common.errors import Conflict
from defects.enums import OPEN_DEFECT_STATES, CertificateKind, DefectState
from defects.models import Defect, Report
from defects.rules.assess import Assessment
from defects.rules.merging import Fault, KnownDefect
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
    """The stored defects a walk-around may touch, by key and, on each unit, by fault."""

    by_key: dict[UUID, Defect] = field(default_factory=dict)
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
    rows = (
        Defect.objects.filter(Q(state__in=OPEN_DEFECT_STATES) | repaired, unit__in=list(units))
        .select_related("current_certificate")
        .order_by("current_certificate__certified_at", "pk")
    )
    known = KnownDefects()
    for defect in rows:
        known.by_key[defect.pk] = defect
        if not defect.point:
            continue
        fault = (defect.point, defect.place)
        if defect.state in OPEN_DEFECT_STATES:
            known.open.setdefault(defect.unit_id, {})[fault] = KnownDefect(defect.pk, defect.severity)
        elif defect.current_certificate is not None:
            certified_at = defect.current_certificate.certified_at
            known.ended.setdefault(defect.unit_id, {})[fault] = KnownDefect(defect.pk, defect.severity, certified_at)
    return known
