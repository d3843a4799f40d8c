"""What nobody needs any more is forgotten, and nothing else."""

import datetime as dt
import os
from pathlib import Path

import pytest
from pytest_django import Settings

from common.stored_responses import STORED_FOR
from fleet.models import IdempotencyRecord, SignInAttempt
from fleet.services.records.expired import DeletedLeftovers, delete_leftovers
from tests.factories.fleet import HOUR, NOON, IdempotencyRecordFactory, SignInAttemptFactory, make_person

pytestmark = pytest.mark.django_db
MINUTE = dt.timedelta(minutes=1)


def test_leftovers__are_forgotten_once_their_time_is_over(tmp_path: Path, settings: Settings) -> None:
    settings.MEDIA_ROOT = tmp_path
    person = make_person()
    for name, age in (("old", STORED_FOR + MINUTE), ("young", STORED_FOR - MINUTE)):
        IdempotencyRecordFactory.create(person=person, method="POST", path="/", key=name, created_at=NOON - age)
    for name, age in (("old", 16 * MINUTE), ("young", 15 * MINUTE)):
        SignInAttemptFactory.create(subject=name, window_starts_at=NOON - age, failures=3)
    folder = tmp_path / "files" / "aa"
    folder.mkdir(parents=True)
    for name, age in (("old", 25 * HOUR), ("young", 23 * HOUR)):
        (folder / name).write_bytes(b"x")
        os.utime(folder / name, times=((NOON - age).timestamp(),) * 2)
    assert delete_leftovers(now=NOON) == DeletedLeftovers(answers=1, attempts=1, files=1)
    assert delete_leftovers(now=NOON) == DeletedLeftovers(answers=0, attempts=0, files=0)
    assert [row.key for row in IdempotencyRecord.objects.all()] == ["young"]
    assert [row.subject for row in SignInAttempt.objects.all()] == ["young"]
    assert [path.name for path in folder.iterdir()] == ["young"]


def test_nothing_ever_kept__is_nothing_to_forget(tmp_path: Path, settings: Settings) -> None:
    settings.MEDIA_ROOT = tmp_path / "nowhere"
    assert delete_leftovers(now=NOON) == DeletedLeftovers(answers=0, attempts=0, files=0)
