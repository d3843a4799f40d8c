"""A periodic inspection recorded as passed over an open fault: the document is kept, flagged and told to compliance."""

import datetime as dt
from zoneinfo import ZoneInfo

import pytest
from django.db.models import F

from common.errors import Conflict
from defects.models import Defect
from fleet.enums import NotificationKind, RowOutcome
from fleet.models import Document, Notification
from fleet.services.documents.documents import edit_document, record_document
from fleet.services.documents.subjects import DocumentSubject
from fleet.services.imports.run import Table
from fleet.services.notifications.composing import sentence_of
from tests.factories.fleet import TODAY, history_of, make_inspector
from tests.support.refusals import refused
from tests.support.tables import outcomes, take_in
from tests.support.yard import Yard

CHICAGO = ZoneInfo("America/Chicago")
DAY = dt.timedelta(days=1)
FLAGGED = "inspection_flagged"
BY_GRETA = {"program": "self", "inspector": "Greta Lind"}


def inspected(yard: Yard, day: dt.date = TODAY, kind: str = "periodic_inspection") -> Document:
    facts = {"starts_on": day, **BY_GRETA} if kind == "periodic_inspection" else {"starts_on": day, "ends_on": day}
    subject = DocumentSubject(unit_id=yard.trailer.pk)
    return record_document(kind=kind, subject=subject, facts=facts, today=TODAY, actor=yard["vera"], now=yard.later())


def told() -> list[tuple[str, str]]:
    notifications = Notification.objects.filter(kind=NotificationKind.INSPECTION_FLAGGED).select_related("person")
    return [
        (notification.person.name, sentence_of(notification, language="en", zone=CHICAGO))
        for notification in notifications
    ]


@pytest.fixture(autouse=True)
def greta(yard: Yard) -> None:
    make_inspector()


def test_fault_found_on_its_day_and_open__the_document_is_refused(yard: Yard) -> None:
    fault = yard.stroke()
    with refused(Conflict, "inspection_defects_open", defects=[fault.number]):
        inspected(yard)
    assert not Document.objects.filter(unit=yard.trailer, kind="periodic_inspection").exists()
    assert (told(), FLAGGED in history_of(yard.trailer)) == ([], False)
    yard.repaired_stroke(fault)
    assert inspected(yard).starts_on == TODAY


def test_passed_over_an_older_open_fault__kept_flagged_and_told_with_the_fault(yard: Yard) -> None:
    fault = yard.stroke()
    Defect.objects.update(found_at=F("found_at") - DAY)
    document = inspected(yard)
    assert Document.objects.filter(pk=document.pk, superseded_at=None).exists()
    assert history_of(yard.trailer)[-2:] == ["document_recorded", FLAGGED]
    [(name, said)] = told()
    assert name == "Vera Holt"
    assert said.startswith(f"Unit LR-46: the periodic inspection of {TODAY:%a %-d %b %Y} is recorded as passed")
    assert f"open: {fault.number} Pushrod stroke, axle 2 right: 2.31 in, limit 2 in. The document is kept." in said


def test_found_after_the_inspection__says_nothing_of_it_until_its_day_is_mended(yard: Yard) -> None:
    yard.stroke()
    document = inspected(yard, TODAY - 2 * DAY)
    Defect.objects.update(found_at=F("found_at") - DAY)
    assert told() == []
    for column, value in (("inspector", "Greta Lind"), ("starts_on", TODAY), ("number", "7")):
        document.refresh_from_db()
        edit_document(
            document_id=document.pk,
            version=document.version,
            changes={column: value},
            today=TODAY,
            actor=yard["vera"],
            now=yard.later(),
        )
    assert len(told()) == 1
    assert history_of(yard.trailer).count(FLAGGED) == 1


def test_repaired_or_another_document__nothing_is_flagged(yard: Yard) -> None:
    fault = yard.stroke()
    inspected(yard, kind="registration")
    yard.repaired_stroke(fault)
    inspected(yard)
    assert told() == []
    assert FLAGGED not in history_of(yard.trailer)


def test_milder__nothing_is_flagged(yard: Yard) -> None:
    yard.stroke()
    Defect.objects.update(severity="next_shop_visit")
    inspected(yard)
    assert told() == []


def test_out_of_a_table__flagged_likewise(yard: Yard) -> None:
    yard.stroke()
    row = {"kind": "periodic_inspection", "unit": "LR-46", "starts_on": str(TODAY), **BY_GRETA}
    assert outcomes(take_in(Table.DOCUMENTS, [row], yard["vera"])) == {2: RowOutcome.CREATED}
    assert [name for name, _ in told()] == ["Vera Holt"]
    assert history_of(yard.trailer)[-1] == FLAGGED
