"""Periodic inspections put on record as passed while faults are open: refused, or kept, flagged and told."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from common.clock import day_in_zone
from common.errors import Conflict
from defects.enums import OPEN_DEFECT_STATES, Authority, Severity
from defects.models import Defect
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.defects.periodic_inspections import speaks_against_passing
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.defects.naming import faults_named, numbers, what_of_defect
from fleet.enums import NotificationKind, Role
from fleet.models import Document
from fleet.services.notifications.create import (
    NotificationDraft,
    RecipientGroup,
    by_language,
    create_notifications,
    find_recipients,
)
from fleet.services.records.unit_of_work import UnitOfWork

KIND = "periodic_inspection"


def flag_passed_inspections(documents: Sequence[Document], *, work: UnitOfWork, from_table: bool, **_: Any) -> None:
    """Note in the history, and notify compliance of, each inspection that an open fault of its day speaks against.

    Conflict `inspection_defects_open` where one was found on the day of the inspection: it has not passed (396.17(c)).
    Not so `from_table`: old documents of an import are kept, and the faults bar the unit by themselves.
    """
    documents_of = {
        document.unit_id: document for document in documents if document.kind == KIND and document.starts_on is not None
    }
    rows = Defect.objects.filter(unit__in=[key for key in documents_of if key], state__in=OPEN_DEFECT_STATES)
    open_defects = list(rows.select_related("unit").order_by("number"))
    if not open_defects:
        return
    policies = work.in_force
    catalogue = catalogue_in_force(policies.policies)
    against: dict[UUID, list[Defect]] = defaultdict(list)
    found_there: list[Defect] = []
    for defect in open_defects:
        inspected_on = documents_of[defect.unit_id].starts_on
        found_on = day_in_zone(defect.found_at, policies.zone)
        if inspected_on is not None and found_on <= inspected_on and _speaks_against(defect, catalogue):
            against[defect.unit_id].append(defect)
            if not from_table and found_on == inspected_on:
                found_there.append(defect)
    if found_there:
        raise Conflict("inspection_defects_open", defects=numbers(found_there), faults=faults_named(found_there))
    for unit, defects in against.items():
        document = documents_of[unit]
        body = {
            "kind": KIND,
            "starts_on": document.starts_on,
            "defects": numbers(defects),
            "fault": faults_named(defects),
        }
        work.record(unit, "inspection_flagged", subject=document.pk, body=body)
    _notify(documents_of, against, catalogue, work.now)


def _speaks_against(defect: Defect, catalogue: Catalogue) -> bool:
    point = catalogue.points.get(defect.point)
    system = None if point is None else point.system
    return speaks_against_passing(system, Authority(defect.authority), Severity(defect.severity))


def _notify(
    documents: Mapping[UUID | None, Document],
    against: Mapping[UUID, Sequence[Defect]],
    catalogue: Catalogue,
    now: datetime,
) -> None:
    sites = {unit: RecipientGroup(Role.COMPLIANCE, defects[0].unit.home_site_id) for unit, defects in against.items()}
    if not sites:
        return
    people = find_recipients(sites.values(), now=now)
    drafts = [
        NotificationDraft(
            kind=NotificationKind.INSPECTION_FLAGGED,
            code="inspection_flagged",
            subject=documents[unit].pk,
            people=keys,
            facts={
                "unit": str(defects[0].unit),
                "inspected_on": documents[unit].starts_on,
                "faults": "; ".join(_fault(defect, catalogue, language) for defect in defects),
            },
            unit=unit,
            step=str(documents[unit].starts_on),
        )
        for unit, defects in against.items()
        for language, keys in by_language(people[sites[unit]]).items()
    ]
    create_notifications(drafts, now=now)


def _fault(defect: Defect, catalogue: Catalogue, language: str) -> str:
    return f"{defect.number} {what_of_defect(defect, catalogue, language)}"
