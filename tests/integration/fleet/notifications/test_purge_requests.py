import datetime as dt

import pytest
import time_machine
from django.core.management import call_command

from fleet.models import IdempotencyRecord
from tests.factories.fleet import NOON, IdempotencyRecordFactory, make_recipient

pytestmark = pytest.mark.django_db


def test_command__forgets_answers_older_than_90_days_and_no_others(capsys: pytest.CaptureFixture[str]) -> None:
    person = make_recipient()
    for age in (dt.timedelta(days=90, seconds=1), dt.timedelta(days=89, hours=23)):
        IdempotencyRecordFactory.create(person=person, method="POST", path="/x", key=str(age), created_at=NOON - age)

    with time_machine.travel(NOON, tick=False):
        call_command("purge_requests")

    assert [record.key for record in IdempotencyRecord.objects.all()] == ["89 days, 23:00:00"]
    assert capsys.readouterr().out == "forgotten: 1 answers, 0 attempts, 0 files\n"
