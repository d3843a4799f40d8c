import datetime as dt

import pytest
from pytest_django import DjangoAssertNumQueries

from fleet.enums import Role
from fleet.models import Person
from fleet.services.notifications.create import RecipientGroup, find_recipients
from tests.factories.fleet import NOON, give_role, make_carrier, make_recipient, make_site, put_on_call

pytestmark = pytest.mark.django_db


def names(recipient_group: RecipientGroup, now: dt.datetime = NOON) -> list[str]:
    return [person.name for person in find_recipients([recipient_group], now=now)[recipient_group]]


def test_role_at_the_site_and_everywhere__both_told_by_name_and_no_other_site() -> None:
    yard, dock = make_site(), make_site("River Dock")
    give_role(make_recipient("Hob Anselm"), Role.FOREMAN, yard)
    give_role(make_recipient("Abe Everywhere"), Role.FOREMAN)
    give_role(make_recipient("Dock Foreman"), Role.FOREMAN, dock)
    give_role(make_recipient("Greta Lind"), Role.MECHANIC, yard)

    assert names(RecipientGroup(Role.FOREMAN, yard.pk)) == ["Abe Everywhere", "Hob Anselm"]


def test_unit_without_a_site__everyone_with_the_role() -> None:
    give_role(make_recipient("Hob Anselm"), Role.FOREMAN, make_site())
    give_role(make_recipient("Dock Foreman"), Role.FOREMAN, make_site("River Dock"))

    assert names(RecipientGroup(Role.FOREMAN)) == ["Dock Foreman", "Hob Anselm"]


def test_nobody_at_the_site_or_everywhere__everyone_with_the_role_rather_than_nobody() -> None:
    give_role(make_recipient("Dock Foreman"), Role.FOREMAN, make_site("River Dock"))

    assert names(RecipientGroup(Role.FOREMAN, make_site().pk)) == ["Dock Foreman"]


def test_role_held_twice__notified_once() -> None:
    yard = make_site()
    hob = make_recipient()
    give_role(hob, Role.FOREMAN, yard)
    give_role(hob, Role.FOREMAN)

    assert names(RecipientGroup(Role.FOREMAN, yard.pk)) == ["Hob Anselm"]


@pytest.mark.parametrize(
    ("instant", "told"),
    [
        ("2026-03-06T05:59:59+00:00", []),  # 23:59:59 on the 5th in Chicago: the role has not begun
        ("2026-03-06T06:00:00+00:00", ["Hob Anselm"]),
        ("2026-03-08T04:59:59+00:00", ["Hob Anselm"]),  # 22:59:59 on the 7th
        ("2026-03-08T05:59:59+00:00", ["Hob Anselm"]),  # 23:59:59 on the 7th, its last day
        ("2026-03-08T06:00:00+00:00", []),
    ],
)
def test_role_with_days__counts_by_the_carriers_day_with_the_last_included(instant: str, told: list[str]) -> None:
    make_carrier()
    give_role(make_recipient(), Role.FOREMAN, starts_on=dt.date(2026, 3, 6), ends_on=dt.date(2026, 3, 7))

    assert names(RecipientGroup(Role.FOREMAN), dt.datetime.fromisoformat(instant)) == told


def test_person_who_has_left__not_told() -> None:
    give_role(make_recipient(left_on=dt.date(2026, 3, 5)), Role.FOREMAN)

    assert names(RecipientGroup(Role.FOREMAN)) == []


def test_person_without_address__told_all_the_same() -> None:
    give_role(make_recipient(email=""), Role.FOREMAN)

    assert names(RecipientGroup(Role.FOREMAN)) == ["Hob Anselm"]


def test_several_recipient_groups__one_statement(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    yard, dock = make_site(), make_site("River Dock")
    give_role(make_recipient("Hob Anselm"), Role.FOREMAN, yard)
    give_role(make_recipient("Cal Wick"), Role.DISPATCH)
    asked = [
        RecipientGroup(Role.FOREMAN, yard.pk),
        RecipientGroup(Role.FOREMAN, dock.pk),
        RecipientGroup(Role.DISPATCH, dock.pk),
    ]

    with django_assert_num_queries(1):
        told = find_recipients(asked, now=NOON)

    assert {recipient_group: [person.name for person in people] for recipient_group, people in told.items()} == {
        asked[0]: ["Hob Anselm"],
        asked[1]: ["Hob Anselm"],
        asked[2]: ["Cal Wick"],
    }


class TestOnCall:
    """Two foremen hold the role everywhere, Hob is on call."""

    @pytest.fixture(autouse=True)
    def hob(self) -> Person:
        hob = make_recipient(roles=(Role.FOREMAN,))
        make_recipient("Abe Everywhere", roles=(Role.FOREMAN,))
        return hob

    def test_what_goes_at_once__to_the_one_on_call_and_the_rest_to_both(self, hob: Person) -> None:
        put_on_call(hob, Role.FOREMAN)

        assert names(RecipientGroup(Role.FOREMAN, make_site().pk, on_call=True)) == ["Hob Anselm"]
        assert names(RecipientGroup(Role.FOREMAN, on_call=True)) == ["Hob Anselm"]
        assert names(RecipientGroup(Role.FOREMAN)) == ["Abe Everywhere", "Hob Anselm"]

    def test_on_call_for_another_site__a_gap_here_and_everyone_told(self, hob: Person) -> None:
        yard, dock = make_site(), make_site("River Dock")
        put_on_call(hob, Role.FOREMAN, dock)

        assert names(RecipientGroup(Role.FOREMAN, dock.pk, on_call=True)) == ["Hob Anselm"]
        assert names(RecipientGroup(Role.FOREMAN, yard.pk, on_call=True)) == ["Abe Everywhere", "Hob Anselm"]

    def test_turns_that_overlap__both_told(self, hob: Person) -> None:
        put_on_call(hob, Role.FOREMAN)
        put_on_call(make_recipient("Una Relief", roles=(Role.FOREMAN,)), Role.FOREMAN)

        assert names(RecipientGroup(Role.FOREMAN, on_call=True)) == ["Hob Anselm", "Una Relief"]

    @pytest.mark.parametrize(
        ("after_noon", "alone"),
        [(dt.timedelta(hours=-7), False), (dt.timedelta(hours=-6), True), (dt.timedelta(hours=6), False)],
    )
    def test_turn__counts_from_its_beginning_until_before_its_end(
        self, hob: Person, after_noon: dt.timedelta, alone: bool
    ) -> None:
        put_on_call(hob, Role.FOREMAN)

        told = names(RecipientGroup(Role.FOREMAN, on_call=True), NOON + after_noon)

        assert told == (["Hob Anselm"] if alone else ["Abe Everywhere", "Hob Anselm"])

    def test_withdrawn_or_in_another_role_or_of_one_without_the_role__everyone_told(self, hob: Person) -> None:
        put_on_call(hob, Role.FOREMAN, withdrawn_at=NOON)
        put_on_call(hob, Role.DISPATCH)
        put_on_call(make_recipient("No Foreman"), Role.FOREMAN)

        assert names(RecipientGroup(Role.FOREMAN, on_call=True)) == ["Abe Everywhere", "Hob Anselm"]

    def test_with_a_roster__still_one_statement(
        self, hob: Person, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        put_on_call(hob, Role.FOREMAN)

        with django_assert_num_queries(1):
            find_recipients(
                [RecipientGroup(Role.FOREMAN, on_call=True), RecipientGroup(Role.DISPATCH, on_call=True)], now=NOON
            )
