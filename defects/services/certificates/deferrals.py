"""How long repair may be called unnecessary, and what happens when that time is over."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from common.errors import FieldProblem, Invalid
from defects.enums import CertificateKind, DefectState
from defects.models import Defect
from defects.services.defects.evidence import Until
from defects.services.defects.locked import record_defect
from defects.transitions import DEFECTS
from fleet.enums import MeterKind, ReadingState
from fleet.models import MeterReading
from fleet.rules.units.meters import has_meter
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.notifications.skipped_records import in_batches
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work

METER_OF = {"limit_mi": MeterKind.ODOMETER_MI, "limit_engine_h": MeterKind.ENGINE_H}


def refuse_limit(work: UnitOfWork, defect: Defect, until: Until) -> None:
    """Refuse a certificate without a limit, with one that has passed, or with one that nothing can show to pass.

    Invalid `limit_needed`, or `limit_refused` with `limit_passed` (fact `now_at`), `meter_not_on_unit` and
    `meter_never_read` at their pointers.
    """
    meters = {"limit_mi": until.mi, "limit_engine_h": until.engine_h}
    if until.on is None and all(limit is None for limit in meters.values()):
        raise Invalid("limit_needed", pointer="/limit_on")
    problems = []
    if until.on is not None and until.on < work.day(work.now):
        problems.append(FieldProblem("/limit_on", "limit_passed", {"now_at": work.day(work.now)}))
    for name, limit in meters.items():
        if limit is not None:
            problems += _meter_problems(defect, name, limit)
    if problems:
        raise Invalid("limit_refused", problems=problems)


def return_past_limit(*, now: datetime) -> int:
    """Take back every certificate of "repair unnecessary" whose limit has passed; how many there were.

    The defects are reported again, or go on in repair; each unit in a transaction of its own, so that running twice
    at once or again is harmless. Clearance judges the limits by itself and never waits for this.
    """
    today = carriers_day(now)
    units = list(_past_limit(today).order_by("unit_id").values_list("unit_id", flat=True).distinct())
    return in_batches(
        "return_past_limit",
        units,
        lambda batch: sum(_return_unit(unit, today, now) for unit in batch),
        key=lambda unit: unit,
        size=1,
        now=now,
    )


def _return_unit(unit: UUID, today: date, now: datetime) -> int:
    with unit_of_work([unit], actor=None, now=now) as work:
        returned = list(_past_limit(today).filter(unit_id=unit).select_related("current_certificate").order_by("pk"))
        for defect in returned:
            _return(work, defect)
        return len(returned)


def _return(work: UnitOfWork, defect: Defect) -> None:
    certificate = defect.current_certificate
    DEFECTS.follow(defect, "end_deferral")
    defect.current_certificate = None
    work.save(defect, "state", "current_certificate")
    record_defect(work, defect, "deferral_ended", {"certificate": None if certificate is None else certificate.pk})


def _past_limit(today: date) -> "QuerySet[Defect]":
    """The defects whose certificate's last day is over, or one of its meters has reached its limit."""
    passed = Q(current_certificate__limit_on__lt=today)
    for name in METER_OF:
        passed |= Q(**{f"current_certificate__{name}__lte": F(f"now_{name}")})
    deferred = Defect.objects.filter(
        state__in=(DefectState.DEFERRED, DefectState.IN_REPAIR),
        current_certificate__kind=CertificateKind.REPAIR_UNNECESSARY,
    )
    return deferred.annotate(**{f"now_{name}": _total(meter) for name, meter in METER_OF.items()}).filter(passed)


def _total(meter: MeterKind) -> Subquery:
    return Subquery(_readings(OuterRef("unit_id"), meter).values("total")[:1])


def _readings(unit: UUID | OuterRef, meter: MeterKind) -> "QuerySet[MeterReading]":
    accepted = MeterReading.objects.filter(unit_id=unit, meter=meter, state=ReadingState.ACCEPTED)
    return accepted.order_by("-read_at", "-total")


def _meter_problems(defect: Defect, name: str, limit: Decimal) -> list[FieldProblem]:
    meter, unit = METER_OF[name], defect.unit
    if not has_meter(unit.kind, meter):
        return [FieldProblem(f"/{name}", "meter_not_on_unit", {"unit": str(unit)})]
    total = _readings(unit.pk, meter).values_list("total", flat=True).first()
    if total is None:
        return [FieldProblem(f"/{name}", "meter_never_read")]
    facts: Mapping[str, object] = {"now_at": total}
    return [FieldProblem(f"/{name}", "limit_passed", facts)] if limit <= total else []
