"""Saying which unit a kept report is on that named none that was known: it is then judged as on the day it was made."""

from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from common.clock import day_in_zone
from common.compiled import insert
from common.errors import Conflict, NotAllowed, or_not_found
from defects.models import Report, Walkaround
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.observed import Conditions
from defects.rules.walkarounds.timing import TIME_UNKNOWN
from defects.rules.walkarounds.verdicts import Circumstances, FlagCode
from defects.selectors.catalogue.catalogue import catalogue_in_force, observer_of, stored_catalogue
from defects.services.defects.sightings import store_catalogue
from defects.services.records.measurements import measured_values, readings_of_walk
from defects.services.walkarounds.context import lock_context
from defects.services.walkarounds.judging import given_of, judge_reports
from defects.services.walkarounds.outcome import bring_about, whereabouts_after
from defects.transitions import ASSIGN_UNIT
from fleet.models import Person, Unit
from fleet.selectors.carrier.carrier import effective_policies
from fleet.selectors.people.sign_in import set_roles

_JUDGED = ("unit", "checks", "looked_at", "places_required", "places_covered", "left_open", "flags", "review_due")
"""What changes of the report: which unit it is on, and how it is judged there; never what the driver gave."""


@transaction.atomic
def assign_unit(*, report_id: UUID, unit_id: UUID, actor: Person, now: datetime) -> Report:
    """Bring a report onto the unit it is on, once: judged, stored and told of as if it had named the unit.

    Only where its units stand together stays as it was. Whoever says it has entered what the driver certified on it.
    NotAllowed `role_not_allowed`; NotFound `report_unknown`; Conflict `unit_known_already`,
    `units_moved`.
    """
    if ASSIGN_UNIT.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="assign_unit", roles=sorted(ASSIGN_UNIT))
    walkaround = or_not_found(
        Walkaround.objects.select_related("person", "signature", "site").filter(reports=report_id).first(),
        "report_unknown",
    )
    unit = Unit.objects.get(pk=unit_id)
    effective = effective_policies(now=now)
    catalogue = catalogue_in_force(effective.policies)
    context = lock_context(
        {unit.number: unit},
        (),
        walkaround.performed_at,
        catalogue=catalogue,
        actor=walkaround.person,
        now=now,
        entered_by=actor,
    )
    report = Report.objects.select_for_update().get(pk=report_id)
    if report.unit_id is not None:
        raise Conflict("unit_known_already")
    store_catalogue(catalogue, now=now)
    set_roles(walkaround.person, now=walkaround.received_at)
    under = _under(report, walkaround, catalogue, day_in_zone(walkaround.performed_at, effective.zone))
    given = given_of(report)
    report.walkaround, report.unit, report.flags = walkaround, unit, []
    report.unit_assigned_by, report.unit_assigned_at = actor, now
    assessed, known, meters = judge_reports(walkaround, [(report, given)], context, under)
    report.save(update_fields=[*_JUDGED, "unit_assigned_by", "unit_assigned_at"])
    coupled = bool(walkaround.conditions.get("coupled"))
    left = whereabouts_after(walkaround, [(report, given)], context, coupled=coupled) if under.time_known else []
    insert([*measured_values(assessed), *meters, *readings_of_walk(assessed, meters, context.work), *left])
    context.work.record(
        unit.pk,
        "report_assigned",
        subject=report.pk,
        actor=actor,
        body={"walkaround": walkaround.pk, "given_unit": report.given_unit},
    )
    bring_about(walkaround, assessed, known, context)
    context.work.write()
    return report


def _under(report: Report, walkaround: Walkaround, catalogue: Catalogue, on: date) -> Circumstances:
    """What was so when the walk-around was made; judged by the catalogue in force, and behind it by the older one."""
    person = walkaround.person
    unnamed = any(flag["code"] == FlagCode.LEG_WITHOUT_LIST for flag in report.flags)  # was flagged then
    older = None
    if walkaround.catalogue_id != catalogue.content_hash:
        older = stored_catalogue(walkaround.catalogue_id)
    return Circumstances(
        catalogues=(catalogue,) if older is None else (catalogue, older),
        conditions=Conditions.of(walkaround.conditions),
        on=on,
        observer_of=observer_of(person.current_roles, person.scopes_on(on)),
        time_known=TIME_UNKNOWN.isdisjoint(flag["code"] for flag in walkaround.flags),
        named=None if unnamed else older or catalogue,
    )
