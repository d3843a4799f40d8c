"""Everything one walk-around is judged and stored against, read once its units are locked. Writes nothing but locks."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from uuid import UUID

from django.db.models import Exists, OuterRef, Q

from common.compiled import INSTANT, KEYS, TEXTS, CompiledObjects, KeyIn, Parameter, TextIn
from common.errors import Conflict
from defects.enums import OPEN_DEFECT_STATES, CertificateKind, DefectState
from defects.models import Defect, Report, Sighting
from defects.models.defects import NEWLY_REPAIRED, newly_repaired
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.walkarounds.assess import Assessment
from defects.rules.walkarounds.verdicts import Fault
from fleet.models import Person, Unit
from fleet.selectors.units.combinations import Combination, all_beside, combination_of
from fleet.services.records.unit_of_work import UnitOfWork

COMEBACK_WINDOW = timedelta(days=730)
"""Our own default: how far back a repaired fault is still linked to the one found now."""


class UnitsMovedError(Conflict):
    """Mountings or couplings changed while waiting for the locks; the whole write is tried again."""


@dataclass(frozen=True)
class WalkaroundContext:
    """The locked units by the reference that was given, with what stands beside them, as of when they were looked at.

    Whoever looked acts in `work`; `catalogue` is the one in force now. `entered_by` is who brought it onto the units:
    the same, or who said later which unit it is.
    """

    units: Mapping[str, Unit]
    combination: Combination
    work: UnitOfWork
    performed_at: datetime
    catalogue: Catalogue
    entered_by: Person


@dataclass
class KnownDefects:
    """The stored defects a walk-around may touch, on each unit by fault.

    `seen_later` are those that somebody found after the walk-around was done: nothing on it can have ended them.
    `one_by_one` are the places of each unit's faults that are open, deferred or newly repaired.
    """

    seen_later: set[UUID] = field(default_factory=set)
    open: dict[UUID, dict[Fault, Defect]] = field(default_factory=dict)
    ended: dict[UUID, dict[Fault, Defect]] = field(default_factory=dict)
    one_by_one: dict[UUID, set[Fault]] = field(default_factory=dict)


def lock_context(
    units: Mapping[str, Unit],
    also: Iterable[UUID],
    performed_at: datetime,
    *,
    catalogue: Catalogue,
    actor: Person,
    now: datetime,
    entered_by: Person | None = None,
) -> WalkaroundContext:
    """Lock the units, further ones, and all that stand with them, in key order; then read again what stands with them.

    UnitsMovedError when that has become more than was locked.
    """
    named = {unit.pk for unit in units.values()} | set(also)
    work = UnitOfWork.begin(named, beside=all_beside, at=performed_at, actor=actor, now=now)
    combination = combination_of(named, performed_at)
    if not combination.units <= work.units:
        raise UnitsMovedError("units_moved")
    return WalkaroundContext(units, combination, work, performed_at, catalogue, entered_by or actor)


def defects_of(units: Iterable[Unit], assessed: Iterable[Assessment], performed_at: datetime) -> KnownDefects:
    """The units' open and newly repaired defects, and those repaired at points found wrong, in one statement."""
    points = {found.check.point for assessment in assessed for found in assessment.findings}
    rows = _open_or_repaired().fetch(
        units=[unit.pk for unit in units],
        points=sorted(points),
        since=performed_at - COMEBACK_WINDOW,
        newly=performed_at - NEWLY_REPAIRED,
        performed_at=performed_at,
    )
    known = KnownDefects()
    for defect in rows:
        later: bool = defect.seen_later  # type: ignore[attr-defined]  # annotated
        if later or defect.found_at > performed_at:
            known.seen_later.add(defect.pk)
        if not defect.point:
            continue
        is_open, fault = defect.state in OPEN_DEFECT_STATES, (defect.point, defect.place)
        if is_open or defect.is_newly_repaired(performed_at):
            known.one_by_one.setdefault(defect.unit_id, set()).add(fault)
        (known.open if is_open else known.ended).setdefault(defect.unit_id, {})[fault] = defect
    return known


@cache
def _open_or_repaired() -> CompiledObjects[Defect]:
    """The statement of `defects_of`, compiled once: every walk-around asks it."""
    since, newly, performed_at = (Parameter(name, INSTANT) for name in ("since", "newly", "performed_at"))
    repaired = Q(
        TextIn("point", Parameter("points", TEXTS)),
        state__in=(DefectState.CERTIFIED, DefectState.CLOSED),
        current_certificate__kind=CertificateKind.REPAIRED,
        current_certificate__certified_at__gte=since,
    )
    later = Sighting.objects.filter(defect=OuterRef("pk"), seen_at__gt=performed_at)
    known = Defect.objects.filter(
        Q(state__in=OPEN_DEFECT_STATES) | repaired | newly_repaired(newly), KeyIn("unit_id", Parameter("units", KEYS))
    ).annotate(seen_later=Exists(later))
    return CompiledObjects(
        known.order_by("current_certificate__certified_at", "pk"), "current_certificate", also=("seen_later",)
    )


def confirmed_since(members: Mapping[UUID, AbstractSet[UUID]], at: datetime) -> set[UUID]:
    """Those couplings of `members` all of whose units one walk-around after an instant named coupled."""
    if not members:
        return set()
    rows = Report.objects.filter(walkaround__coupling__in=members, walkaround__performed_at__gt=at)
    seen: dict[tuple[UUID, UUID], set[UUID]] = defaultdict(set)
    for coupling, walkaround, unit in rows.values_list("walkaround__coupling", "walkaround", "unit"):
        seen[coupling, walkaround].add(unit)
    return {coupling for (coupling, _), units in seen.items() if members[coupling] <= units}
