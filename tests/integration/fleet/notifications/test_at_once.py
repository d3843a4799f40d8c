"""Eight jobs at once owe and deliver nothing twice; delivering with the lock taken out shows that it would."""

import datetime as dt
import time
from collections import Counter
from typing import Any

import pytest
from django.db import connection
from django.db.models import QuerySet

from fleet.enums import Channel, DeliveryState, Role
from fleet.models import Delivery, Notification
from fleet.services.notifications import leases
from fleet.services.notifications.channels import Senders
from fleet.services.notifications.composing import Mail
from fleet.services.notifications.deliveries import Delivered, deliver_pending
from fleet.services.notifications.escalate import escalate_unanswered
from fleet.services.notifications.job import gather_summaries
from fleet.services.notifications.leases import LEASE
from tests.factories.fleet import NOON, hold_draft, make_carrier, make_recipient, owe, waiting_draft
from tests.support.at_once import at_once
from tests.support.committing import CommittingDatabase
from tests.support.outbox import Outbox

MORNING = dt.datetime(2026, 3, 7, 12, tzinfo=dt.UTC)
QUARTER = dt.timedelta(minutes=15)


def without_locks(monkeypatch: pytest.MonkeyPatch) -> None:
    def unlocked(rows: QuerySet[Any], **_: object) -> QuerySet[Any]:
        return rows.all()

    monkeypatch.setattr(QuerySet, "select_for_update", unlocked)


def slowly_leased(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave time for another job between finding a delivery and leasing it."""
    quick = leases._may_leave

    def slow(*args: Any) -> bool:
        time.sleep(0.02)
        return quick(*args)

    monkeypatch.setattr(leases, "_may_leave", slow)


def deliver_at_once(jobs: int, outbox: Outbox) -> list[Delivered]:
    return at_once(jobs, lambda: deliver_pending(clock=lambda: NOON, senders=Senders({Channel.MAIL: outbox})))


def owe_letters(count: int) -> None:
    for number in range(count):
        owe(hold_draft(make_recipient(f"P{number} Person")))


def test_eight_workers_at_once__each_letter_leaves_once(
    committing_db: CommittingDatabase, monkeypatch: pytest.MonkeyPatch
) -> None:
    owe_letters(20)
    slowly_leased(monkeypatch)
    outbox = Outbox()

    runs = deliver_at_once(8, outbox)

    assert sum(run.sent for run in runs) == 20
    assert Counter(outbox.message_ids) == Counter(Delivery.objects.values_list("message_id", flat=True))
    assert set(Delivery.objects.values_list("state", "attempts")) == {(DeliveryState.SENT, 1)}
    assert sum(run.sent > 0 for run in runs) > 1, "the work was not shared, so nothing was tried"


def test_control_without_the_lock__letters_leave_twice(
    committing_db: CommittingDatabase, monkeypatch: pytest.MonkeyPatch
) -> None:
    owe_letters(4)
    slowly_leased(monkeypatch)
    without_locks(monkeypatch)
    outbox = Outbox()

    deliver_at_once(3, outbox)

    assert len(outbox.sent) > 4


def test_worker_dies_between_sending_and_marking__one_more_with_the_same_id(committing_db: CommittingDatabase) -> None:
    owe(hold_draft(make_recipient()))
    outbox = Outbox()

    class Dies(Outbox):
        def send(self, letter: Mail) -> None:
            outbox.send(letter)
            raise SystemExit(9)

    with pytest.raises(SystemExit):
        deliver_pending(clock=lambda: NOON, senders=Senders({Channel.MAIL: Dies()}))
    for later in (NOON + LEASE, NOON + 2 * LEASE):
        deliver_pending(clock=lambda at=later: at, senders=Senders({Channel.MAIL: outbox}))  # type: ignore[misc]

    assert len(outbox.sent) == 2
    assert len(set(outbox.message_ids)) == 1


SLOW_INSERT = """
    CREATE FUNCTION take_time() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN PERFORM pg_sleep(0.01); RETURN NEW; END $$;
    CREATE TRIGGER slow BEFORE INSERT ON fleet_notification FOR EACH ROW EXECUTE FUNCTION take_time();
"""


def test_transactions_notify_in_opposite_order__each_person_once_and_no_deadlock(
    committing_db: CommittingDatabase,
) -> None:
    drafts = [hold_draft(*[make_recipient(f"P{number} Person") for number in range(10)]) for _ in range(2)]
    with connection.cursor() as cursor:
        cursor.execute(SLOW_INSERT)

    turns = iter([drafts, drafts[::-1]] * 2)
    owed = at_once(4, lambda: len(owe(*next(turns))))

    assert sum(owed) == 20
    assert Notification.objects.count() == 20
    carried = Counter(Delivery.notifications.through.objects.values_list("notification_id", flat=True))
    assert set(carried.values()) == {1}
    assert len(carried) == 20


def test_eight_jobs_at_once__one_digest_for_each_person(committing_db: CommittingDatabase) -> None:
    make_carrier()
    owe(waiting_draft(*[make_recipient(f"P{number} Person") for number in range(30)]))

    assert sum(at_once(8, lambda: gather_summaries(now=MORNING))) == 30

    assert Delivery.objects.filter(summary_on=MORNING.date()).count() == 30
    assert Delivery.notifications.through.objects.count() == 30


def test_eight_jobs_at_once__what_nobody_answered_goes_to_one_next_role_once(
    committing_db: CommittingDatabase, monkeypatch: pytest.MonkeyPatch
) -> None:
    foremen = [make_recipient(f"F{number} Foreman") for number in range(5)]
    make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    make_recipient("Ada Min", roles=(Role.ADMINISTRATOR,))
    monkeypatch.setattr("fleet.services.notifications.escalate.BATCH", 3)
    for _ in range(4):
        owe(hold_draft(*foremen))

    assert sum(at_once(8, lambda: escalate_unanswered(now=NOON + QUARTER))) == 4

    assert Notification.objects.filter(person__name="Vera Holt").count() == 4
    assert Notification.objects.filter(person__name="Ada Min").count() == 0
    assert Notification.objects.filter(escalated_at=None).count() == 0
