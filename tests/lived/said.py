"""What stands in columns that cannot be filled with just any value, and in which row (`where`); by table.

A value is a plain one, or a function of the row.
"""

import datetime as dt
from typing import Any

from common import clock
from defects.models import Certificate, Clearance, Load
from fleet.models import HistoryContent, HistoryEntry, Person, Signature, Unit


def person(username: str) -> Any:
    """Somebody of the demo."""
    return lambda _: Person.objects.get(username=username)


def unit(number: str) -> Any:
    """A unit of the demo."""
    return lambda _: Unit.objects.get(number=number, owner="")


def ago(**by: float) -> Any:
    """An instant before now."""
    return lambda _: clock.now() - dt.timedelta(**by)


def ahead(**by: float) -> Any:
    """An instant to come."""
    return lambda _: clock.now() + dt.timedelta(**by)


def day(days: int) -> Any:
    """A day, so many from today."""
    return lambda _: clock.now().date() + dt.timedelta(days=days)


def of(model: Any, **filters: Any) -> Any:
    """The first row of a table."""
    return lambda _: model.objects.filter(**filters).order_by("pk").first()


def purged_entry(_: Any) -> HistoryEntry:
    """An entry whose content is gone, as the purge leaves it."""
    entry = HistoryEntry.objects.order_by("pk")[0]
    HistoryContent.objects.filter(entry=entry).delete()
    return entry


PERMIT = {
    "number": "H-4471",
    "us_state": "IL",
    "starts_on": "2026-03-01",
    "ends_on": "2026-12-31",
    "axle_lb": None,
    "tandem_lb": 36_000,
    "group_lb": None,
    "gross_lb": 84_000,
}
"""A permit of a State for an overweight load."""

SAID: dict[str, dict[str, Any]] = {
    "fleet.Site": {"where": lambda site: site.code == "gravel-drop", "closed_on": day(-1)},
    "fleet.QueueReport": {"waited_s": 0.5},
    "fleet.Restore": {
        "backed_up_at": ago(days=400),
        "restored_at": ago(days=399),
        "restored_by": "Ola, at the console",
        "known_until": day(-401),
        "lengths": {"01a21200-0000-7000-8000-000000000001": 3},
    },
    "fleet.Document": {
        "where": lambda document: document.superseded_at is not None and document.unit_id is not None,
        "person": None,
        "scan_retained_until": day(400),
        "scan_record_kind": "superseded_document",
    },
    "fleet.FeedToken": {"filters": {"kind": ["registration"]}},
    "fleet.PersonRole": {
        "where": lambda held: held.person.username == "rex",
        "site": lambda held: held.person.home_site,
        "ends_on": day(30),
    },
    "fleet.Qualification": {"ends_on": day(30)},
    "fleet.Person": {"where": lambda each: each.username is None, "left_on": day(-1)},
    "fleet.Notification": {"snoozed_until": ahead(hours=20)},
    "fleet.Delivery": {"where": lambda each: each.state == "pending", "claimed_until": ago(minutes=1)},
    "fleet.DeviceToken": {"where": lambda token: token.person.username == "vic"},
    "fleet.Deletion": {
        "entry": purged_entry,
        "unit": lambda row: row.entry.unit,
        "record": lambda _: HistoryEntry.objects.order_by("pk")[0].pk,
        "content_hash": lambda row: bytes(row.entry.content_hash).hex(),
    },
    "defects.Certificate": {
        "where": lambda each: each.kind == "repair_unnecessary",
        "limit_mi": 500_000,
        "supersedes": lambda each: Certificate.objects.exclude(pk=each.pk).order_by("pk").first(),
    },
    "defects.Clearance": {"us_states": ["KY"]},
    "defects.ClearanceChange": {"clearance": of(Clearance), "back_at": ago(minutes=1)},
    "defects.ActiveBar": {"clearance": of(Clearance), "bar": "LR-46, hold 1001", "gone_at": ago(minutes=1)},
    "defects.Hold": {"where": lambda hold: hold.lifted_at is not None, "lift_flag": "same_person"},
    "defects.LimitedMove": {"unit": unit("LR-46"), "ends_at": ahead(hours=2), "driver": person("iris")},
    "defects.SigningLink": {"where": "new", "used_at": None},
    "defects.YardMove": {"unit": unit("LR-46")},
    "defects.RoadsideInspection": {
        "where": lambda each: not each.is_clean,
        "answer_signature": of(Signature),
        "answered_by": person("vera"),
    },
    "defects.Photo": {"where": "new", "walkaround": None, "defect": None, "load": of(Load)},
    "defects.ScaleTicket": {"groups": [{"axles": 5, "lb": 70_000}], "photo": "a" * 64, "flags": ["does_not_add_up"]},
    "defects.Load": {
        "where": lambda load: load.loaded_at is None and load.cancelled_at is None,
        "lowest_f": 33,
        "highest_f": 38,
        "product_f": 34,
        "doors_opened_at": ago(minutes=9),
        "doors_closed_at": ago(minutes=5),
        "cancelled_at": ago(minutes=1),
        "cancel_reason": "the customer cancelled",
        "overweight_permits": [PERMIT],
    },
    "defects.LoadAtRisk": {"cause": "product_too_warm", "facts": {"product_f": "20", "limit_f": "5"}},
    "defects.Walkaround": {"team_mate": person("sol"), "flags": [{"code": "clock_skewed", "facts": {}}]},
    "defects.Report": {"faults": [{"text": "smells of fuel", "place": "", "unsafe": True, "photos": []}]},
    "workorders.RepairOrder": {"where": lambda order: order.state != "waiting", "cancel_reason": "opened twice"},
    "workorders.RepairTask": {"road_test_at": ahead(hours=3), "cancel_reason": "opened twice"},
}
