"""What the doctor says of jobs and of messages that should have left."""

import datetime as dt

import pytest

from common.jobs import jobs
from fleet.enums import DeliveryState, Role
from fleet.management.doctor.jobs import examine_jobs, examine_messages
from fleet.models import Delivery, WebhookEndpoint
from fleet.services.operation.job_runs import note_run
from tests.factories.fleet import (
    NOON,
    SkippedRecordFactory,
    hold_draft,
    make_carrier,
    make_recipient,
    make_webhook,
    owe,
)

pytestmark = pytest.mark.django_db
HOUR = dt.timedelta(hours=1)


@pytest.fixture
def all_ran(db: None) -> None:
    for job in jobs():
        note_run(job.name, well=True, now=NOON)


def test_all_ran__nothing_is_wrong(all_ran: None) -> None:
    assert list(examine_jobs(NOON)) == []


def test_jobs_of_every_minute_did_not_run__named(all_ran: None) -> None:
    (only,) = examine_jobs(NOON + HOUR)
    assert "deliver_notifications" in only.wrong
    assert "did not run when due" in only.wrong
    assert "purge_records" not in only.wrong


def test_job_failed__named_with_the_hour(all_ran: None) -> None:
    note_run("purge_records", well=False, now=NOON + dt.timedelta(minutes=1))
    (only,) = examine_jobs(NOON + dt.timedelta(minutes=1))
    assert only.wrong == "purge_records failed when it last ran, at 2026-03-06 18:01 UTC"


def test_records_left_out__counted(all_ran: None) -> None:
    subject = make_recipient()
    SkippedRecordFactory.create(job="remind_of_documents", subject=subject.pk, why="ValueError")
    (only,) = examine_jobs(NOON)
    assert only.wrong == "remind_of_documents leaves out 1 records that it cannot work on"


def test_message_parked__counted_with_the_reason() -> None:
    owe(hold_draft(make_recipient()))
    Delivery.objects.update(state=DeliveryState.PARKED, last_error="SMTPRecipientsRefused: no such user")
    (only,) = examine_messages(NOON)
    assert only.wrong == "1 messages are parked, the last because: SMTPRecipientsRefused: no such user"


def test_message_waits_for_long__counted() -> None:
    owe(hold_draft(make_recipient()))
    assert list(examine_messages(NOON + HOUR)) == []
    (only,) = examine_messages(NOON + HOUR + dt.timedelta(seconds=1))
    assert only.wrong == "1 messages wait for more than an hour"


def test_people_with_a_role_and_no_address__named() -> None:
    make_carrier()
    hob = make_recipient("Hob Anselm", roles=(Role.FOREMAN,), email="")
    make_recipient("Dee Moss", roles=(Role.FOREMAN,))
    (only,) = examine_messages(NOON)
    assert only.wrong == "no message can reach Hob Anselm"
    make_webhook(hob)
    assert list(examine_messages(NOON)) == []
    WebhookEndpoint.objects.update(closed_at=NOON)
    assert len(list(examine_messages(NOON))) == 1
