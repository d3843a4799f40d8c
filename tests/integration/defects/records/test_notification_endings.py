"""What has ended is neither sent nor told to the next role as if it stood."""

import datetime as dt

import time_machine

from defects.enums import Bars, Severity
from defects.models import Hold, RoadsideInspection
from defects.services.loads.loads_at_risk import dispose
from fleet.enums import Channel, DeliveryState, NotificationKind
from fleet.models import Delivery, Notification, Signature
from fleet.services.notifications.channels import Senders
from fleet.services.notifications.deliveries import deliver_pending
from fleet.services.notifications.endings import still_active
from fleet.services.notifications.job import escalate_notifications
from tests.factories.defects import SecondLookFactory
from tests.support.acting import acting_as
from tests.support.dock import Dock
from tests.support.outbox import Outbox
from tests.support.yard import Yard

MINUTE = dt.timedelta(minutes=1)


def standing(kind: NotificationKind) -> int:
    return still_active(Notification.objects.filter(kind=kind)).count()


def test_hold_lifted_before_delivery__nothing_is_sent(yard: Yard) -> None:
    yard["hob"].email = "hob@carrier.invalid"
    yard["hob"].save()
    defect = yard.stroke()
    assert Delivery.objects.filter(person=yard["hob"]).count() == 1
    yard.repaired_stroke(defect)
    before = Notification.objects.count()
    yard.lift(Hold.objects.get(defect=defect))
    outbox = Outbox()

    deliver_pending(clock=lambda: yard.now, senders=Senders({Channel.MAIL: outbox}))
    swept = escalate_notifications(now=yard.now + 20 * MINUTE)

    assert outbox.sent == []
    assert set(Delivery.objects.values_list("state", flat=True)) == {DeliveryState.DROPPED}
    assert swept.escalated == 0
    assert Notification.objects.count() == before


def test_fault_in_free_words__holds_until_it_is_graded(yard: Yard) -> None:
    defect = yard.fault()
    assert standing(NotificationKind.FAULT_TO_GRADE) > 0
    yard.grade(defect, Severity.WATCH, Bars.NOTHING)
    assert standing(NotificationKind.FAULT_TO_GRADE) == 0


def test_refusal__holds_until_a_second_person_has_looked(yard: Yard) -> None:
    refusal = yard.refuse(reason="free play, 5 1/2 in")
    assert standing(NotificationKind.UNIT_REFUSED) > 0
    SecondLookFactory.create(
        refusal=refusal, person=yard["greta"], found="as it should be", looked_at=yard.now, recorded_at=yard.now
    )
    assert standing(NotificationKind.UNIT_REFUSED) == 0


def test_officers_report__to_be_answered_until_it_is(dock: Dock) -> None:
    inspection = dock.inspected(dock.brake("axle-1-left"))
    assert standing(NotificationKind.ORDER_BY_OFFICER) > 0
    assert standing(NotificationKind.ROADSIDE_ANSWER_DUE) > 0
    vera = dock["vera"]
    signed = Signature.objects.order_by("pk").first()
    RoadsideInspection.objects.filter(pk=inspection.pk).update(
        answered_at=dock.now, answered_by=vera, answer_signature=signed, answer_title="Director"
    )
    assert standing(NotificationKind.ROADSIDE_ANSWER_DUE) == 0
    assert standing(NotificationKind.ORDER_BY_OFFICER) > 0


def test_load_at_risk__until_the_food_is_disposed_of(dock: Dock) -> None:
    risk = dock.at_risk()
    assert standing(NotificationKind.LOAD_AT_RISK) > 0
    vera = dock["vera"]
    dispose(
        risk_id=risk.pk,
        version=risk.version,
        disposition="core at -8 °F, accepted",
        signing=dock.signing(vera),
        actor=vera,
        now=dock.later(),
    )
    assert standing(NotificationKind.LOAD_AT_RISK) == 0


def test_hold_lifted__the_list_says_that_it_is_no_longer_so(yard: Yard) -> None:
    defect = yard.stroke()
    hob = acting_as(yard["hob"])
    with time_machine.travel(yard.now, tick=False):
        (placed,) = hob.get("notices?kind=hold_placed").json()["results"]
    assert (placed["ended"], placed["text"][:5]) == (False, "Unit ")
    yard.repaired_stroke(defect)
    yard.lift(Hold.objects.get(defect=defect))

    with time_machine.travel(yard.now, tick=False):
        listed = hob.get("notices?kind=hold_placed").json()["results"][0]
        alone = hob.get(f"notices/{placed['id']}").json()
    for read in (listed, alone):
        assert (read["ended"], read["text"]) == (True, f"Ended: {placed['text']}")
