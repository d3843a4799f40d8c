"""What the carrier decides, from when on, and that a listener may refuse it."""

import datetime as dt
from collections.abc import Iterator

import pytest
from django.db import IntegrityError, transaction

from common.errors import Invalid
from fleet.enums import Role
from fleet.models import Person, Policy
from fleet.selectors.carrier.carrier import effective_policies
from fleet.services.carrier.policies import set_policy
from fleet.signals import policy_set
from tests.factories.fleet import HOUR, NOON, make_carrier, make_person, make_site
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def office() -> Person:
    return make_person("Vera Holt", Role.COMPLIANCE)


def decide(office: Person, key: str, value: object, valid_from: dt.datetime | None = None) -> Policy:
    return set_policy(key=key, value=value, valid_from=valid_from, reason="", actor=office, now=NOON)


def test_decision__holds_from_its_instant_on(office: Person) -> None:
    make_carrier()
    decide(office, "walk_valid_hours", 12)
    decide(office, "walk_valid_hours", 6, NOON + HOUR)
    at = {hours: effective_policies(now=NOON + hours * HOUR).policies for hours in (-1, 0, 1)}
    assert at == {-1: {}, 0: {"walk_valid_hours": 12}, 1: {"walk_valid_hours": 6}}


@pytest.mark.parametrize(
    ("key", "value", "pointer", "code"),
    [
        ("speed", 1, "/key", "policy_key_unknown"),
        ("notification_hours:NOWHERE", {}, "/key", "policy_key_unknown"),
        ("walk_valid_hours", 0, "/value", "policy_not_whole_in_range"),
    ],
)
def test_decision_that_does_not_do__is_refused(
    office: Person, key: str, value: object, pointer: str, code: str
) -> None:
    with refused(Invalid, code, (pointer, code)):
        decide(office, key, value)
    assert not Policy.objects.exists()


def test_decision_for_the_past__is_refused(office: Person) -> None:
    with refused(Invalid, "policy_backdated", ("/valid_from", "policy_backdated")):
        decide(office, "walk_valid_hours", 12, NOON - dt.timedelta(seconds=1))


def test_decision_of_one_site__names_a_site_that_there_is(office: Person) -> None:
    site = make_site()
    assert decide(office, f"notification_hours:{site.code}", {"morning": "05:00"}).value == {"morning": "05:00"}


def test_two_decisions_for_one_instant__are_refused_by_the_database(office: Person) -> None:
    decide(office, "walk_valid_hours", 12)
    with pytest.raises(IntegrityError, match="policy_key_from_unique"), transaction.atomic():
        decide(office, "walk_valid_hours", 6)


@pytest.fixture
def listener() -> Iterator[list[object]]:
    heard: list[object] = []

    def refuse_six(policy: Policy, now: dt.datetime, **_: object) -> None:
        heard.append((policy.key, policy.value, now))
        if policy.value == 6:
            raise Invalid("invalid", pointer="/value")

    policy_set.connect(refuse_six)
    yield heard
    policy_set.disconnect(refuse_six)


def test_listener__hears_of_a_decision_and_may_undo_it(office: Person, listener: list[object]) -> None:
    decide(office, "walk_valid_hours", 12)
    with refused(Invalid, "invalid", ("/value", "invalid")):
        decide(office, "walk_valid_hours", 6, NOON + HOUR)
    assert listener == [("walk_valid_hours", 12, NOON), ("walk_valid_hours", 6, NOON)]
    assert [row.value for row in Policy.objects.all()] == [12]
