"""Two administrators who end each other's role at the same time: one of them stays."""

import datetime as dt
from contextlib import suppress
from threading import Barrier, BrokenBarrierError

import pytest

from common.errors import Conflict
from fleet.enums import Role
from fleet.models import Person, PersonRole
from fleet.services.people import roles
from tests.factories.fleet import NOON, TODAY, make_person
from tests.support.at_once import at_once
from tests.support.committing import CommittingDatabase


@pytest.fixture
def both_looked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let each thread wait, after it looked, until the other has looked too or is held up by the lock."""
    barrier, look = Barrier(2), roles.refuse_no_administrator_left

    def look_and_wait(today: dt.date) -> None:
        look(today)
        with suppress(BrokenBarrierError):
            barrier.wait(timeout=1)

    monkeypatch.setattr(roles, "refuse_no_administrator_left", look_and_wait)


def end_each_other() -> list[str]:
    people = [make_person(name, Role.ADMINISTRATOR, username=name) for name in ("one", "two")]
    turns = iter(people)

    def end() -> str:
        actor = next(turns)
        other = next(person for person in people if person.pk != actor.pk)
        return _end_role_of(other, actor)

    return sorted(at_once(2, end))


def _end_role_of(person: Person, actor: Person) -> str:
    (role,) = person.roles.all()
    try:
        roles.end_role(person_id=person.pk, role_id=role.pk, ends_on=TODAY, actor=actor, now=NOON)
    except Conflict as refusal:
        return refusal.code
    return "ended"


@pytest.mark.usefixtures("both_looked")
def test_roles_ended_at_once__one_administrator_stays(committing_db: CommittingDatabase) -> None:
    assert end_each_other() == ["ended", "last_administrator"]
    assert PersonRole.objects.filter(ends_on__isnull=True).count() == 1


@pytest.mark.usefixtures("both_looked")
def test_without_the_lock__nobody_stays(committing_db: CommittingDatabase, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(roles, "lock_administrators", lambda: None)
    assert end_each_other() == ["ended", "ended"]
    assert not PersonRole.objects.filter(ends_on__isnull=True).exists()
