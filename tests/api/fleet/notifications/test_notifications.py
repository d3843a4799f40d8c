"""What is owed to people, over HTTP: read, acknowledged, put off; and what could not leave."""

import datetime as dt
from uuid import UUID

import pytest
from pytest_django import Settings

from common.ids import uuid7
from fleet.enums import DeliveryState, Role
from fleet.models import Delivery, Notification, Person
from fleet.services.notifications.hours import habits_in_force
from fleet.services.notifications.leases import lease_next
from tests.factories.fleet import (
    NOON,
    hold_draft,
    make_carrier,
    make_person,
    make_site,
    make_unit,
    make_webhook,
    owe,
    waiting_draft,
)
from tests.support.acting import Device, acting_as, codes

pytestmark = pytest.mark.django_db
SENTENCE = (
    "Unit LR-46, hold 12: Pushrod stroke, axle 2 right: 2.31 in, limit 2 in. Reported by "
    "Iris Quade, Fri 6 Mar 12:00 PM. Do not move the unit until the hold is lifted."
)


@pytest.fixture(autouse=True)
def hob() -> Person:
    make_carrier()
    return make_person("Hob Anselm", Role.FOREMAN, email="hob@carrier.invalid")


@pytest.fixture
def foreman(hob: Person) -> Device:
    return acting_as(hob)


class TestReading:
    def test_own_notification__says_everything_in_words(self, hob: Person, foreman: Device) -> None:
        unit, hold = make_unit(number="LR-46"), uuid7()
        (notification,) = owe(hold_draft(hob, subject=hold, unit=unit))

        told = foreman.get(f"notices/{notification.pk}").json()

        assert told == {
            "id": str(notification.pk),
            "kind": "hold_placed",
            "code": "hold_placed",
            "text": SENTENCE,
            "facts": {
                "unit": "LR-46",
                "hold": "12",
                "what": "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in",
                "reported_by": "Iris Quade",
                "at": "2026-03-06 12:00-06:00",
            },
            "unit": {"id": str(unit.pk), "kind": "tractor", "number": "LR-46", "owner": ""},
            "subject": str(hold),
            "urgent": True,
            "ended": False,
            "created_at": "2026-03-06T18:00:00Z",
            "acknowledged_at": None,
            "snoozed_until": None,
            "snooze_reason": "",
            "escalated_at": None,
            "deliveries": [{"channel": "mail", "state": "pending", "sent_at": None, "last_error": ""}],
            "allowed_actions": ["acknowledge"],
        }
        assert foreman.get("notices").json()["results"] == [told]

    def test_reader_of_spanish_at_a_site_of_another_zone__told_in_both(self) -> None:
        wen = make_person(
            "Wen Castel", Role.DRIVER, language="es", home_site=make_site("West Dock", time_zone="America/Los_Angeles")
        )
        owe(hold_draft(wen))

        text = acting_as(wen).get("notices").json()["results"][0]["text"]

        assert text.startswith("Unidad LR-46, retención 12: ")
        assert "vie 6 mar 10:00 AM" in text

    def test_kinds_of_a_newer_release__are_listed_with_their_facts(
        self, hob: Person, foreman: Device, settings: Settings
    ) -> None:
        settings.MESSAGES_STRICT = False
        owe(hold_draft(hob))
        owe(hold_draft(hob), now=NOON + dt.timedelta(minutes=1))
        newest = Notification.objects.order_by("-created_at")[:1].get()
        Notification.objects.filter(pk=newest.pk).update(kind="of_tomorrow", code="of_tomorrow")

        first, second = foreman.get("notices").json()["results"]

        assert (first["kind"], first["facts"]["unit"]) == ("of_tomorrow", "LR-46")
        assert first["text"].startswith("of_tomorrow: ")
        assert {"unit LR-46", "hold 12"} <= set(first["text"].removeprefix("of_tomorrow: ").split(", "))
        assert second["text"] == SENTENCE

    def test_person_without_an_address__has_it_on_the_list_and_no_delivery(self) -> None:
        cal = make_person("Cal Wick", Role.DISPATCH)
        owe(hold_draft(cal))

        (row,) = acting_as(cal).get("notices").json()["results"]

        assert row["deliveries"] == []

    def test_list__newest_first_and_cut_down(self, hob: Person, foreman: Device) -> None:
        unit = make_unit(number="LR-46")
        (first,) = owe(hold_draft(hob, unit=unit))
        (second,) = owe(waiting_draft(hob), now=NOON + dt.timedelta(minutes=1))
        foreman.post(f"notices/{first.pk}/acknowledge")

        def listed(**query: str) -> list[UUID]:
            return [UUID(row["id"]) for row in foreman.get("notices", **query).json()["results"]]

        assert listed() == [second.pk, first.pk]
        assert listed(unit="lr-46") == listed(urgent="true") == listed(kind="hold_placed") == [first.pk]
        assert listed(open="false") == [first.pk]
        assert listed(open="true") == listed(urgent="false") == [second.pk]


class TestAnswering:
    def test_acknowledged__kept_with_its_instant_and_nothing_left_to_do(self, hob: Person, foreman: Device) -> None:
        (notification,) = owe(hold_draft(hob))

        answer = foreman.post(f"notices/{notification.pk}/acknowledge")

        assert (answer.status_code, answer.json()["acknowledged_at"]) == (200, "2026-03-06T18:00:00Z")
        assert answer.json()["allowed_actions"] == []
        assert Notification.objects.get().acknowledged_at == NOON

    def test_snoozed__until_midnight_of_that_day(self, hob: Person, foreman: Device) -> None:
        (notification,) = owe(waiting_draft(hob))
        assert foreman.get(f"notices/{notification.pk}").json()["allowed_actions"] == ["acknowledge", "snooze"]

        body = {"until": "2026-03-10", "reason": "waits for the State's letter"}
        answer = foreman.post(f"notices/{notification.pk}/snooze", body)

        assert answer.status_code == 200
        assert (answer.json()["snoozed_until"], answer.json()["snooze_reason"]) == (
            "2026-03-10T05:00:00Z",
            "waits for the State's letter",
        )

    @pytest.mark.parametrize(
        ("body", "problems"),
        [
            ({}, [("/until", "required"), ("/reason", "required")]),
            ({"until": "2026-03-10", "reason": ""}, [("/reason", "blank")]),
            ({"until": "2026-03-06", "reason": "later"}, [("/until", "snooze_not_later")]),
            ({"until": "2026-04-06", "reason": "later"}, [("/until", "snooze_too_long")]),
            ({"until": "soon", "reason": "later"}, [("/until", "not_a_day")]),
            ({"until": "2026-03-10", "reason": "later", "for": "ever"}, [("/for", "unknown_field")]),
        ],
    )
    def test_snooze_that_is_not_sound__refused_with_the_place_and_nothing_changed(
        self, body: dict[str, str], problems: list[tuple[str, str]], hob: Person, foreman: Device
    ) -> None:
        (notification,) = owe(waiting_draft(hob))

        answer = foreman.post(f"notices/{notification.pk}/snooze", body)

        assert (answer.status_code, sorted(codes(answer))) == (422, sorted(problems))
        assert Notification.objects.get().snoozed_until is None

    def test_snooze_of_a_hold__403_and_nothing_changed(self, hob: Person, foreman: Device) -> None:
        (notification,) = owe(hold_draft(hob))

        answer = foreman.post(f"notices/{notification.pk}/snooze", {"until": "2026-03-10", "reason": "later"})

        assert (answer.status_code, answer.json()["code"]) == (403, "notification_never_snoozed")
        assert Notification.objects.get().snoozed_until is None

    def test_snooze_of_an_acknowledged_one__409(self, hob: Person, foreman: Device) -> None:
        (notification,) = owe(waiting_draft(hob))
        foreman.post(f"notices/{notification.pk}/acknowledge")

        answer = foreman.post(f"notices/{notification.pk}/snooze", {"until": "2026-03-10", "reason": "later"})

        assert (answer.status_code, answer.json()["code"]) == (409, "notification_acknowledged")

    @pytest.mark.parametrize("action", ["", "/acknowledge", "/snooze"])
    def test_somebody_elses__404_even_for_an_administrator_and_nothing_changed(self, action: str, hob: Person) -> None:
        (notification,) = owe(waiting_draft(hob))
        other = acting_as(make_person("Root Admin", Role.ADMINISTRATOR))
        body = {"until": "2026-03-10", "reason": "later"} if action == "/snooze" else None
        path = f"notices/{notification.pk}{action}"

        answer = other.post(path, body) if action else other.get(path)

        assert (answer.status_code, answer.json()["code"]) == (404, "notification_unknown")
        fresh = Notification.objects.get()
        assert (fresh.acknowledged_at, fresh.snoozed_until) == (None, None)


class TestParked:
    def test_failed_for_the_last_time__office_sees_to_whom_and_why(self, hob: Person) -> None:
        owe(hold_draft(hob))
        Delivery.objects.update(state=DeliveryState.PARKED, attempts=5, last_error="SMTPServerDisconnected: gone")
        vera = acting_as(make_person("Vera Holt", Role.COMPLIANCE))

        (row,) = vera.get("notices/parked-deliveries").json()["results"]

        assert (row["person"]["name"], row["channel"], row["attempts"], row["last_error"]) == (
            "Hob Anselm",
            "mail",
            5,
            "SMTPServerDisconnected: gone",
        )
        assert [notification["text"] for notification in row["notifications"]] == [SENTENCE]

    def test_sent_again_by_an_administrator__pending_as_if_never_tried_and_off_the_list(self, hob: Person) -> None:
        owe(hold_draft(hob))
        Delivery.objects.update(state=DeliveryState.PARKED, attempts=5, last_error="SMTPServerDisconnected: gone")
        before = Delivery.objects.get()
        root = acting_as(make_person("Root Admin", Role.ADMINISTRATOR))

        answer = root.post(f"notices/parked-deliveries/{before.pk}/retry")

        assert (answer.status_code, answer.json()) == (
            200,
            {
                "id": str(before.pk),
                "person": {"id": str(hob.pk), "name": "Hob Anselm"},
                "channel": "mail",
                "state": "pending",
                "sent_at": None,
                "last_error": "SMTPServerDisconnected: gone",
                "summary_on": None,
                "attempts": 0,
                "next_try_at": "2026-03-06T18:00:00Z",
            },
        )
        assert root.get("notices/parked-deliveries").json()["results"] == []
        lease = lease_next(habits_in_force(NOON), now=NOON)
        assert lease is not None
        assert (lease.delivery.message_id, lease.delivery.attempts) == (before.message_id, 1)

    @pytest.mark.parametrize(
        ("asked", "mail", "webhook"), [({}, "pending", "pending"), ({"channel": "mail"}, "pending", "parked")]
    )
    def test_all_sent_again_at_once__or_those_of_a_channel_or_a_person(
        self, asked: dict[str, str], mail: str, webhook: str, hob: Person
    ) -> None:
        make_webhook(hob)
        cal = make_person("Cal Wick", Role.DISPATCH, email="cal@carrier.invalid")
        owe(hold_draft(hob, cal))
        Delivery.objects.update(state=DeliveryState.PARKED, attempts=5, next_try_at=NOON + dt.timedelta(hours=1))
        Delivery.objects.filter(person=cal).update(state=DeliveryState.SENT)
        root = acting_as(make_person("Root Admin", Role.ADMINISTRATOR))

        answer = root.post("notices/parked-deliveries/retry", asked)

        states = dict(Delivery.objects.filter(person=hob).values_list("channel", "state"))
        assert (answer.status_code, answer.json()) == (200, {"retried": list(states.values()).count("pending")})
        assert states == {"mail": mail, "webhook": webhook}
        assert Delivery.objects.get(person=cal).state == DeliveryState.SENT
        owed = Delivery.objects.filter(state=DeliveryState.PENDING)
        assert set(owed.values_list("attempts", "next_try_at")) == {(0, NOON)}
        assert root.post("notices/parked-deliveries/retry", {"person": str(cal.pk)}).json() == {"retried": 0}

    @pytest.mark.parametrize("state", [DeliveryState.PENDING, DeliveryState.SENT])
    def test_not_parked__409_and_nothing_changed(self, state: DeliveryState, hob: Person) -> None:
        owe(hold_draft(hob))
        Delivery.objects.update(state=state, attempts=2)
        root = acting_as(make_person("Root Admin", Role.ADMINISTRATOR))

        answer = root.post(f"notices/parked-deliveries/{Delivery.objects.get().pk}/retry")

        assert (answer.status_code, answer.json()["code"]) == (409, "action_not_allowed")
        assert Delivery.objects.values_list("state", "attempts").get() == (state, 2)

    def test_no_such_message__404(self) -> None:
        answer = acting_as(make_person("Root Admin", Role.ADMINISTRATOR)).post(
            f"notices/parked-deliveries/{uuid7()}/retry"
        )

        assert (answer.status_code, answer.json()["code"]) == (404, "delivery_unknown")

    def test_pending_leased_or_sent__not_among_them(self, hob: Person) -> None:
        owe(hold_draft(hob))
        vera = acting_as(make_person("Vera Holt", Role.COMPLIANCE))
        assert vera.get("notices/parked-deliveries").json()["results"] == []
        assert lease_next(habits_in_force(NOON), now=NOON) is not None
        assert vera.get("notices/parked-deliveries").json()["results"] == []
        Delivery.objects.update(state=DeliveryState.SENT)
        assert vera.get("notices/parked-deliveries").json()["results"] == []
