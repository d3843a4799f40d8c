"""One person's dear walk-arounds go one by one and not without end; others, and everybody else's, never wait."""

from typing import Any

import pytest
from django.db import connection

from common.ids import uuid7
from defects.models import Walkaround
from defects.services.walkarounds import throttle
from fleet.models import Person
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.walks import body, check, put, send

LARGE: dict[str, Any] = body([{"unit": "LR-46"}], finished_at=NOON, of_tomorrow="x" * throttle.LARGE)
FOUND = [check(f"p{number}", answer="defect") for number in range(throttle.MANY)]
MANY = body([{"unit": "LR-46", "checks": FOUND, "faults": [{"text": "and one more"}]}], finished_at=NOON)
SMALL = body([{"unit": "LR-46"}], finished_at=NOON)


def told(answer: Any) -> tuple[int, str, str]:
    return answer.status_code, answer.json().get("code", ""), answer.headers.get("Retry-After", "")


@pytest.mark.parametrize("dear", [LARGE, MANY], ids=["large", "many findings"])
def test_while_another_of_the_person_is_at_work__sent_again_in_a_moment(dear: dict[str, Any]) -> None:
    sol, iris = acting_as("sol"), acting_as("iris")
    other = connection.copy()
    held = (throttle._CLASS, Person.objects.get(username="sol").pk.int & 0x7FFFFFFF)
    try:
        with other.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_lock(%s, %s)", held)
        assert told(send(sol, dear)) == (429, "walkarounds_too_fast", "5")
        put(sol, SMALL)
        put(iris, dear)
    finally:
        other.close()
    put(sol, dear)


def test_much_within_ten_minutes__waits_and_leaves_the_place_free(monkeypatch: pytest.MonkeyPatch) -> None:
    sol, name = acting_as("sol"), uuid7()
    put(sol, LARGE, name)
    monkeypatch.setattr(throttle, "MOST_STORED", 1)
    assert told(send(sol, LARGE)) == (429, "walkarounds_too_fast", "120")
    put(acting_as("iris"), SMALL)
    assert Walkaround.objects.filter(person__username="sol").count() == 1
    monkeypatch.undo()
    put(sol, LARGE, name, status=200)
    put(sol, LARGE)
