"""Setting a report aside that cannot be read, so that answers are given without it: signed, once, and kept."""

from datetime import datetime
from uuid import UUID

from common.errors import Conflict, Invalid, NotAllowed, or_not_found
from defects.models import Report, SetAside
from defects.rules.clearance.codes import Code
from defects.selectors.clearance.answer import answer_for
from defects.selectors.clearance.yard import yard_of
from defects.services.records.signatures import Signing, instant_of, refuse_another, signature_of
from defects.transitions import SET_ASIDE
from fleet.enums import SignaturePurpose
from fleet.models import Person, Unit
from fleet.services.records.unit_of_work import unit_of_work


def set_report_aside(*, report_id: UUID, reason: str, signing: Signing, actor: Person, now: datetime) -> SetAside:
    """Have answers read past a report: its walk counts for none, so that the unit is walked round again.

    Only one may be that was flagged, itself or its walk-around, or whose unit cannot be answered for with it. The
    defects found in it, their holds and the review that is due for it stand as before. NotAllowed `role_not_allowed`,
    `sign_yourself`; NotFound `not_found`; Invalid `report_of_no_unit` for one that bars nothing; Conflict
    `set_aside_already`, `report_readable`.
    """
    if SET_ASIDE.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="set_aside", roles=sorted(SET_ASIDE))
    refuse_another(signing, actor)
    at = instant_of(signing, now)
    report = or_not_found(Report.objects.select_related("unit", "walkaround").filter(pk=report_id).first(), "not_found")
    if report.unit is None:
        raise Invalid("report_of_no_unit")
    with unit_of_work([report.unit.pk], actor=actor, now=now) as work:
        if SetAside.objects.filter(report=report).exists():
            raise Conflict("set_aside_already")
        if not (report.flags or report.walkaround.flags or _bars_unread(report.unit, now)):
            raise Conflict("report_readable")
        content = {"report": report.pk, "reason": reason}
        signature = signature_of(signing, purpose=SignaturePurpose.SET_ASIDE, content=content, actor=actor, now=now)
        signature.save(force_insert=True)
        made = SetAside.objects.create(report=report, reason=reason, signature=signature, set_aside_at=now)
        work.record(report.unit.pk, "report_set_aside", subject=report.pk, performed_at=at, body={"reason": reason})
        return made


def _bars_unread(unit: Unit, now: datetime) -> bool:
    found = (answer_for(combination.snapshot).reasons for combination in yard_of([unit], now=now).combinations)
    return any(
        (reason.code, reason.unit) == (Code.RECORD_UNREADABLE, str(unit)) for reasons in found for reason in reasons
    )
