"""Who hears that a unit was refused, and what the second person found."""

from zoneinfo import ZoneInfo

import pytest

from defects.models import Refusal
from defects.services.refusals.refusals import look_again
from fleet.enums import NotificationKind, Role
from fleet.models import Delivery, Notification, Unit
from fleet.services.notifications.composing import sentence_of
from tests.factories.fleet import give_role, make_recipient, make_site
from tests.support.yard import MINUTE, Yard

CHICAGO = ZoneInfo("America/Chicago")


@pytest.fixture
def two_shops(yard: Yard) -> Yard:
    """Hob leads the shop where the tractor is at home, Ida another one."""
    here, there = make_site("North Yard"), make_site("River Dock")
    Unit.objects.filter(pk=yard.tractor.pk).update(home_site=here)
    for name, site in (("hob", here), ("ida", there)):
        yard[name].roles.update(site=site)
        yard[name].email = f"{name}@carrier.invalid"
        yard[name].save()
    return yard


def told(kind: NotificationKind) -> dict[str, Notification]:
    """By name, the notice that each person was owed."""
    return {
        notification.person.name: notification
        for notification in Notification.objects.filter(kind=kind).select_related("person")
    }


def look(yard: Yard, refusal: Refusal) -> None:
    found = "5 1/4 in of free play, as it should be"
    look_again(refusal_id=refusal.pk, found=found, looked_at=yard.later(), actor=yard["greta"], now=yard.now)


def test_refusal__notifies_both_and_names_the_driver_to_the_foreman_only(two_shops: Yard) -> None:
    refusal = two_shops.refuse(reason="free play, 5 1/2 in")

    notifications = told(NotificationKind.UNIT_REFUSED)
    assert sorted(notifications) == ["Cal Wick", "Hob Anselm"]
    assert all(
        (n.urgent, n.subject_id, n.unit_id) == (True, refusal.pk, two_shops.tractor.pk) for n in notifications.values()
    )
    assert Delivery.objects.get(notifications=notifications["Hob Anselm"]).next_try_at == two_shops.now
    rest = (
        "{who} refused unit NL-15, Fri 6 Mar 12:01 PM: free play, 5 1/2 in. Do not offer it "
        "until a second qualified person has looked. Nobody may be pressed or punished for a "
        "refusal."
    )
    worded = {
        name: sentence_of(notification, language="en", zone=CHICAGO) for name, notification in notifications.items()
    }
    assert worded == {"Hob Anselm": rest.format(who="Sol Marrin"), "Cal Wick": rest.format(who="A driver")}


def test_refused_by_one_who_also_dispatches__is_not_told_of_it(yard: Yard) -> None:
    give_role(yard["sol"], Role.DISPATCH)
    yard.refuse()
    assert "Sol Marrin" not in told(NotificationKind.UNIT_REFUSED)


def test_foreman_who_also_dispatches__notified_once_with_the_name(yard: Yard) -> None:
    give_role(yard["hob"], Role.DISPATCH)
    yard.refuse()
    assert [notification.code for notification in Notification.objects.filter(person=yard["hob"])] == [
        "refusal_by_driver"
    ]


def test_sent_again__nobody_is_notified_twice(yard: Yard) -> None:
    first = yard.refuse()
    yard.now -= MINUTE
    again = yard.refuse(key=first.pk)
    assert again.pk == first.pk
    assert (
        Notification.objects.filter(kind=NotificationKind.UNIT_REFUSED).count()
        == len(told(NotificationKind.UNIT_REFUSED))
        == 3
    )


def test_looked_at__dispatch_and_the_driver_read_what_was_found_and_nobody_is_woken(yard: Yard) -> None:
    refusal = yard.refuse()

    look(yard, refusal)

    notifications = told(NotificationKind.SECOND_LOOK_DONE)
    assert sorted(notifications) == ["Cal Wick", "Sol Marrin"]
    assert not any(notification.urgent for notification in notifications.values())
    assert sentence_of(notifications["Cal Wick"], language="en", zone=CHICAGO) == (
        "Greta Lind looked at refused unit NL-15, Fri 6 Mar 12:02 PM: 5 1/4 in of free play, as "
        "it should be. Request clearance before it rolls."
    )


def test_nobody_in_the_shop_or_in_dispatch__the_refusal_stands_all_the_same(yard: Yard) -> None:
    for name in ("hob", "ida", "cal"):
        yard[name].roles.all().delete()
    make_recipient("Ann Over", roles=(Role.ADMINISTRATOR,))
    refusal = yard.refuse()
    assert Refusal.objects.get().pk == refusal.pk
    assert told(NotificationKind.UNIT_REFUSED) == {}
