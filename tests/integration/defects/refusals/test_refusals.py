"""Refusing a unit: the driver's own copy, and the second look by somebody else who is qualified."""

from typing import Any

import pytest
from django.db import IntegrityError, InternalError, transaction

from common.canonical import sha256_hex
from common.errors import Conflict, DomainError, Invalid, NotAllowed, NotFound
from common.ids import uuid7
from defects.models import Refusal, SecondLook
from defects.selectors.refusals import refusal_waits, refusals_visible_to
from defects.services.refusals.refusals import look_again
from fleet.enums import Role
from tests.factories.fleet import history_of
from tests.support.refusals import refused
from tests.support.yard import HORN, HOUR, MINUTE, Yard

RIGHTS = (
    "Nobody may be coerced or punished for refusing a vehicle that breaks a safety rule or that a driver reasonably "
    "believes to be unsafe (49 U.S.C. 31105; 49 CFR 390.6). A complaint of coercion must be filed within 90 days, "
    "one of retaliation within 180 days."
)


def look(yard: Yard, refusal: Refusal, by: str = "greta", **given: Any) -> SecondLook:
    return look_again(
        refusal_id=given.pop("key", refusal.pk),
        found=given.pop("found", "5 1/2 in of free play at the rim"),
        looked_at=given.pop("at", None) or yard.later(),
        actor=yard[by],
        now=yard.now,
    )


def test_refused__waits_and_the_driver_keeps_a_copy_proven_by_its_hash(yard: Yard) -> None:
    horn = yard.finding(HORN, finding="silent", unit=yard.tractor)

    refusal = yard.refuse(defects=[horn], reason="free play in the steering, 5 1/2 in")

    assert refusal.copy_hash == sha256_hex(refusal.copy)
    assert refusal.copy.splitlines() == [
        "Refusal to drive a unit: the driver's own copy",
        "Driver: Sol Marrin",
        "Carrier: Ninefold Larder Lines, USDOT 0000000",
        "Unit: NL-15",
        "Refused: 2026-03-06T12:02:00-06:00",
        "Received by the carrier: 2026-03-06T12:02:00-06:00",
        "Reason: free play in the steering, 5 1/2 in",
        "Defect: Horn: silent",
        RIGHTS,
        "Do not offer the unit until a second qualified person has looked.",
    ]
    assert refusal_waits(yard.tractor.pk)
    assert not refusal_waits(yard.trailer.pk)
    assert history_of(yard.tractor)[-1] == "unit_refused"


def test_copy__in_the_drivers_language(yard: Yard) -> None:
    yard["sol"].language = "es"
    yard["sol"].save()
    assert yard.refuse().copy.startswith("Negativa a conducir una unidad: copia del conductor\nConductor: Sol Marrin\n")


def test_second_look__at_brakes_by_one_qualified_for_them(yard: Yard) -> None:
    refusal = yard.refuse(unit=yard.trailer, defects=[yard.stroke()])
    with refused(NotAllowed, "not_qualified_to_look", needs=["brakes_inspect"]):
        look(yard, refusal, "sam")
    assert refusal_waits(yard.trailer.pk)
    look(yard, refusal, "greta")
    assert not refusal_waits(yard.trailer.pk)


def test_refusal__cannot_be_changed_in_the_database(yard: Yard) -> None:
    refusal = yard.refuse()
    with pytest.raises((InternalError, IntegrityError)), transaction.atomic():
        Refusal.objects.filter(pk=refusal.pk).update(copy="nothing happened")


def test_sent_again_under_its_name__the_same_refusal(yard: Yard) -> None:
    key = uuid7()
    first = yard.refuse(key=key)
    kinds = history_of(yard.tractor)
    assert yard.refuse(key=key) == first
    assert (Refusal.objects.count(), history_of(yard.tractor)) == (1, kinds)


@pytest.mark.parametrize(
    ("given", "error", "code"),
    [({"reason": "something else"}, Conflict, "refusal_differs"), ({"by": "iris"}, NotFound, "not_found")],
)
def test_another_refusal_under_its_name__refused(
    yard: Yard, given: dict[str, Any], error: type[DomainError], code: str
) -> None:
    key = uuid7()
    yard.refuse(key=key)
    with pytest.raises(error) as caught:
        yard.refuse(key=key, **given)
    assert caught.value.code == code
    assert Refusal.objects.count() == 1


def test_defect_of_another_unit__refused(yard: Yard) -> None:
    with refused(Invalid, "defect_not_of_unit"):
        yard.refuse(defects=[yard.stroke()])
    assert not Refusal.objects.exists()


@pytest.mark.parametrize("by", ["greta", "hob", "vera", "cal"])
def test_nobody_but_a_driver__refuses(yard: Yard, by: str) -> None:
    with pytest.raises(NotAllowed):
        yard.refuse(by)


def test_second_look__ends_the_waiting(yard: Yard) -> None:
    refusal = yard.refuse()
    look(yard, refusal)
    assert not refusal_waits(yard.tractor.pk)
    assert history_of(yard.tractor)[-1] == "second_look"


@pytest.mark.parametrize("by", ["iris", "vera", "cal"])
def test_second_look_by_nobody_qualified__refused(yard: Yard, by: str) -> None:
    refusal = yard.refuse()
    with refused(NotAllowed, "role_not_allowed"):
        look(yard, refusal, by)
    assert refusal_waits(yard.tractor.pk)


def test_second_look_by_whoever_refused__refused(yard: Yard) -> None:
    refusal = yard.refuse()
    yard["sol"].current_roles = frozenset({Role.DRIVER, Role.MECHANIC})
    with refused(NotAllowed, "second_person_looks"):
        look(yard, refusal, "sol")


def test_second_look_twice__conflict(yard: Yard) -> None:
    refusal = yard.refuse()
    look(yard, refusal)
    with refused(Conflict, "action_not_allowed"):
        look(yard, refusal, "hob")
    assert SecondLook.objects.get().person == yard["greta"]


def test_second_look_at_an_impossible_time_or_without_a_finding__refused(yard: Yard) -> None:
    refusal = yard.refuse()
    for at, code in ((yard.now + HOUR, "instant_in_future"), (refusal.refused_at - MINUTE, "looked_before_refusal")):
        with refused(Invalid, code):
            look(yard, refusal, at=at)
    with pytest.raises(Invalid) as caught:
        look(yard, refusal, found=" ")
    assert caught.value.problems[0].pointer == "/found"
    with pytest.raises(NotFound):
        look(yard, refusal, key=uuid7())
    assert refusal_waits(yard.tractor.pk)


@pytest.mark.parametrize(("by", "sees"), [("sol", 1), ("iris", 0), ("cal", 0), ("hob", 1), ("greta", 1), ("vera", 1)])
def test_who_sees_it__the_driver_the_shop_and_the_record_keepers(yard: Yard, by: str, sees: int) -> None:
    yard.refuse()
    assert refusals_visible_to(yard[by]).count() == sees
