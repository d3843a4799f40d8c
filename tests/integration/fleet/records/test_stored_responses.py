"""The store of stored responses, and equal keys at once."""

import datetime as dt
import time
from functools import partial
from threading import Event

import pytest
from django.db import connection, transaction

from common.errors import Conflict
from common.stored_responses import STORED_FOR, RequestKey, StoredResponse
from fleet.enums import Role
from fleet.models import IdempotencyRecord
from fleet.services.records.stored_responses import STORE, delete_old_responses
from tests.factories.fleet import NOON, make_person
from tests.support.at_once import at_once
from tests.support.committing import CommittingDatabase

ANSWER = StoredResponse("f" * 64, 201, '{"id":1}', {"ETag": '"1"'})


def key(person: object, path: str = "/api/v1/units", name: str = "k") -> RequestKey:
    return RequestKey(person, "POST", path, name)


@pytest.mark.django_db
class TestStore:
    def test_answer__is_found_by_person_path_and_key_together(self) -> None:
        ada, tomo = make_person("Ada"), make_person("Tomo")
        assert STORE.find(key(ada.pk)) is None
        assert STORE.claim(key(ada.pk), ANSWER.fingerprint)
        assert STORE.find(key(ada.pk)) is None
        STORE.finish(key(ada.pk), ANSWER)
        assert STORE.find(key(ada.pk)) == ANSWER
        assert STORE.find(key(tomo.pk)) is None
        assert STORE.find(key(ada.pk, "/api/v1/sites")) is None
        assert STORE.find(key(ada.pk, name="l")) is None

    def test_key_claimed_already__is_not_claimed_again(self) -> None:
        ada = make_person("Ada")
        assert STORE.claim(key(ada.pk), ANSWER.fingerprint)
        assert not STORE.claim(key(ada.pk), ANSWER.fingerprint)
        assert IdempotencyRecord.objects.count() == 1

    def test_answers__are_forgotten_after_90_days(self) -> None:
        ada = make_person("Ada")
        for name, age in (("old", STORED_FOR + dt.timedelta(seconds=1)), ("young", STORED_FOR)):
            STORE.claim(key(ada.pk, name=name), ANSWER.fingerprint)
            IdempotencyRecord.objects.filter(key=name).update(created_at=NOON - age)
        assert delete_old_responses(now=NOON) == 1
        assert [row.key for row in IdempotencyRecord.objects.all()] == ["young"]


def claim(person: object, name: str) -> bool:
    with transaction.atomic():
        claimed = STORE.claim(key(person, name=name), ANSWER.fingerprint)
        if claimed:
            time.sleep(0.05)  # the others must be waiting for the index by now
            STORE.finish(key(person, name=name), ANSWER)
        return claimed


def test_equal_keys_at_once__one_claims_and_the_others_wait_for_it(committing_db: CommittingDatabase) -> None:
    person = make_person("Ada", Role.DRIVER).pk

    for number in range(5):
        assert sorted(at_once(3, partial(claim, person, str(number)))) == [False, False, True]
        assert STORE.find(key(person, name=str(number))) == ANSWER


def test_the_same_without_the_unique_index__each_does_the_work(committing_db: CommittingDatabase) -> None:
    """The negative control."""
    person = make_person("Ada", Role.DRIVER).pk
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE fleet_idempotencyrecord DROP CONSTRAINT idempotency_key_unique")

    assert at_once(3, partial(claim, person, "k")) == [True, True, True]


def test_rival_that_takes_too_long__is_not_waited_for_any_longer(committing_db: CommittingDatabase) -> None:
    person = make_person("Ada", Role.DRIVER).pk
    claimed, answered = Event(), Event()

    def first() -> bool:
        with transaction.atomic():
            mine = STORE.claim(key(person), ANSWER.fingerprint)
            claimed.set()
            assert answered.wait(timeout=10)
            return mine

    def second() -> bool:
        assert claimed.wait(timeout=10)
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET LOCAL lock_timeout = '50ms'")
            try:
                return STORE.claim(key(person), ANSWER.fingerprint)
            except Conflict as refused:
                return refused.code != "idempotency_key_in_use"
            finally:
                answered.set()

    turns = iter([first, second])

    def take_turn() -> bool:
        return next(turns)()

    assert sorted(at_once(2, take_turn)) == [False, True]
