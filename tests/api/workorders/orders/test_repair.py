"""A repair from the order to the finished work, over HTTP by each person with a token of their own."""

from decimal import Decimal

import pytest

from defects.enums import DefectState
from defects.models import Defect, Measurement
from fleet.models import Notification
from tests.api.workorders.conftest import Shop
from tests.factories.fleet import HOUR, NOON, history_of
from tests.support.acting import acting_as, codes
from workorders.enums import TaskState
from workorders.models import LaborEntry

FIT_TO_MOVE = {"method": "typed", "signed_at": NOON.isoformat(), "shown": "The unit is fit to move with this undone."}


def tag(row: object) -> str:
    return f'"{row.version}"'  # type: ignore[attr-defined]


def test_brake_repair__assigned_started_measured_finished(shop: Shop) -> None:
    hob, greta = acting_as("hob"), acting_as("greta")
    brake = f"repair-tasks/{shop.brake_task.pk}"

    assigned = hob.post(f"{shop.path}/assign", {"assigned_to": str(shop["greta"].pk)}, if_match=shop.tag())
    assert (assigned.status_code, assigned.json()["state"]) == (200, "assigned")
    assert [task["lead"]["name"] for task in assigned.json()["tasks"]] == ["Greta Lind"] * 2
    assert f'"{assigned.json()["version"]}"' == shop.tag()

    started = greta.post(f"{brake}/start", if_match=tag(shop.brake_task))
    assert (started.status_code, started.json()["state"]) == (200, "started")
    assert greta.get(shop.path).json()["state"] == "in_progress"
    assert Defect.objects.get(pk=shop.brake.pk).state == DefectState.IN_REPAIR

    running = greta.post("labor-entries", {"task": str(shop.brake_task.pk), "role": "lead"})
    assert running.status_code == 201
    said = {"cause": "adjuster worn", "correction": "adjuster replaced"}
    unmeasured = greta.post(f"{brake}/finish", said, if_match=tag(shop.brake_task))
    assert (unmeasured.status_code, codes(unmeasured)) == (422, [("/after", "measurement_missing")])
    past = greta.post(
        f"{brake}/finish",
        {**said, "after": {"value": "2.0001", "unit_of_measure": "in"}},
        if_match=tag(shop.brake_task),
    )
    assert codes(past) == [("/after", "measurement_past_limit")]
    assert past.json()["limit"] == "2"
    assert shop.brake_task.state == TaskState.STARTED
    assert Measurement.objects.count() == 0

    done = greta.post(
        f"{brake}/finish", {**said, "after": {"value": "1.62", "unit_of_measure": "in"}}, if_match=tag(shop.brake_task)
    )
    assert (done.status_code, done.json()["state"]) == (200, "done")
    assert done.json()["after"]["value"] == "1.62"
    measured = Measurement.objects.get()
    assert (measured.unit_id, measured.point, measured.place, measured.value, measured.task_id) == (
        shop.trailer.pk,
        shop.brake.point,
        "axle-2-right",
        Decimal("1.6200"),
        shop.brake_task.pk,
    )
    assert list(Defect.objects.get(pk=shop.brake.pk).worked_by.all()) == [shop["greta"]]
    assert LaborEntry.objects.get().ended_at == NOON
    assert history_of(shop.trailer)[-5:] == [
        "repair_order_assigned",
        "repair_order_started",
        "repair_task_started",
        "labor_started",
        "repair_task_done",
    ]


def test_waiting__told_with_what_it_waits_for(shop: Shop) -> None:
    hob = acting_as("hob")
    hob.post(f"{shop.path}/assign", {"assigned_to": str(shop["greta"].pk)}, if_match=shop.tag())
    greta = acting_as("greta")
    greta.post(f"repair-tasks/{shop.brake_task.pk}/start", if_match=tag(shop.brake_task))
    said = {"waiting_for": "parts", "reason": "slack adjuster out of stock"}
    waiting = greta.act(shop.path, "wait", said)
    assert (waiting.status_code, waiting.json()["state"], waiting.json()["waiting_for"]) == (200, "waiting", "parts")


def test_started_by_somebody_not_qualified__refused_and_nothing_changed(shop: Shop) -> None:
    hob, sam = acting_as("hob"), acting_as("sam")
    hob.post(f"{shop.path}/assign", {"assigned_to": str(shop["greta"].pk)}, if_match=shop.tag())
    before = shop.tag()

    refused = sam.post(f"repair-tasks/{shop.brake_task.pk}/start", if_match=tag(shop.brake_task))

    assert (refused.status_code, refused.json()["code"]) == (403, "not_qualified")
    assert refused.json()["needs"] == ["scope_brakes_adjust", "scope_brakes_repair"]
    assert refused.json()["scope"] == "brakes_repair"
    assert "adjusting brakes, repairing brakes" in refused.json()["detail"]
    assert shop.brake_task.state == TaskState.OPEN
    assert shop.tag() == before


def test_unqualified_mechanic__may_help_under_a_qualified_lead_only(shop: Shop) -> None:
    hob, nell = acting_as("hob"), acting_as("nell")
    brake = f"repair-tasks/{shop.brake_task.pk}"
    alone = hob.post(f"{brake}/assign", {"lead": str(shop["nell"].pk)}, if_match=tag(shop.brake_task))
    assert (alone.status_code, codes(alone)) == (422, [("/lead", "not_qualified")])

    under = hob.post(
        f"{brake}/assign",
        {"lead": str(shop["greta"].pk), "helpers": [str(shop["nell"].pk)]},
        if_match=tag(shop.brake_task),
    )
    assert under.status_code == 200
    assert [helper["name"] for helper in under.json()["helpers"]] == ["Nell Park"]
    assert hob.get(shop.path).json()["state"] == "assigned"

    acting_as("greta").post(f"{brake}/start", if_match=tag(shop.brake_task))
    as_lead = nell.post("labor-entries", {"task": str(shop.brake_task.pk), "role": "lead"})
    assert (as_lead.status_code, as_lead.json()["code"]) == (403, "not_qualified")
    assert nell.post("labor-entries", {"task": str(shop.brake_task.pk), "role": "helper"}).status_code == 201


def test_expected_time_moved__dispatch_is_notified_and_the_defects_carry_it(shop: Shop) -> None:
    hob = acting_as("hob")
    first, later = NOON + 4 * HOUR, NOON + 28 * HOUR

    promised = hob.post(f"{shop.path}/set-expected-time", {"expected_at": first.isoformat()}, if_match=shop.tag())
    assert promised.status_code == 200
    assert Notification.objects.count() == 0

    moved = hob.post(
        f"{shop.path}/set-expected-time",
        {"expected_at": later.isoformat(), "reason": "adjuster out of stock"},
        if_match=shop.tag(),
    )
    assert moved.json()["expected_at"] == "2026-03-07T22:00:00Z"
    notification = Notification.objects.get()
    assert (notification.person, notification.kind, notification.unit_id) == (
        shop["cal"],
        "expected_time_moved",
        shop.trailer.pk,
    )
    assert set(Defect.objects.values_list("expected_at", flat=True)) == {later}
    assert acting_as("cal").get(shop.path).json()["expected_at"] == "2026-03-07T22:00:00Z"


def test_lamp_not_reproduced__defect_stays_open_and_order_waits_for_a_road_test(shop: Shop) -> None:
    hob, sam = acting_as("hob"), acting_as("sam")
    hob.post(
        f"repair-tasks/{shop.brake_task.pk}/assign", {"lead": str(shop["greta"].pk)}, if_match=tag(shop.brake_task)
    )
    lamp = f"repair-tasks/{shop.lamp_task.pk}"
    assert sam.post(f"{lamp}/start", if_match=tag(shop.lamp_task)).status_code == 200

    seen = sam.post(
        f"{lamp}/not-reproduced",
        {"conditions": "rain, over 50 mph", "road_test_at": (NOON + 3 * HOUR).isoformat()},
        if_match=tag(shop.lamp_task),
    )

    assert (seen.status_code, seen.json()["state"]) == (200, "not_reproduced")
    assert Defect.objects.get(pk=shop.lamp.pk).state == DefectState.IN_REPAIR
    assert hob.get(shop.path).json()["state"] == "in_progress"


def test_paused_as_fit_to_move__signed_with_what_is_undone_and_begun_again(shop: Shop) -> None:
    hob, greta = acting_as("hob"), acting_as("greta")
    hob.post(f"{shop.path}/assign", {"assigned_to": str(shop["greta"].pk)}, if_match=shop.tag())
    lamp = f"repair-tasks/{shop.lamp_task.pk}"
    started = greta.post(f"{lamp}/start", if_match=tag(shop.lamp_task))
    assert "pause" in started.json()["allowed_actions"]
    unsigned = greta.post(f"{lamp}/pause", {"undone": "lens cover"}, if_match=tag(shop.lamp_task))
    assert (unsigned.status_code, codes(unsigned)) == (422, [("/signature", "required")])
    given = {"undone": "lens cover", "signature": FIT_TO_MOVE}
    paused = greta.post(f"{lamp}/pause", given, if_match=tag(shop.lamp_task))
    assert (paused.status_code, paused.json()["state"], paused.json()["undone"]) == (200, "paused", "lens cover")
    assert paused.json()["allowed_actions"] == ["start"]
    again = greta.post(f"{lamp}/start", if_match=tag(shop.lamp_task))
    assert (again.json()["state"], again.json()["undone"]) == ("started", "")


def test_cancelled__defects_are_reported_again_without_an_order(shop: Shop) -> None:
    hob = acting_as("hob")
    hob.post(f"{shop.path}/assign", {"assigned_to": str(shop["greta"].pk)}, if_match=shop.tag())
    acting_as("greta").post(f"repair-tasks/{shop.brake_task.pk}/start", if_match=tag(shop.brake_task))

    begun = hob.post(f"{shop.path}/cancel", {"reason": "unit goes to its owner"}, if_match=shop.tag())
    assert (begun.status_code, begun.json()["code"]) == (409, "work_under_way")
    signed = {"undone": "stroke not set", "signature": FIT_TO_MOVE}
    paused = hob.post(f"repair-tasks/{shop.brake_task.pk}/pause", signed, if_match=tag(shop.brake_task))
    assert paused.status_code == 200, paused.content
    gone = hob.post(f"{shop.path}/cancel", {"reason": "unit goes to its owner"}, if_match=shop.tag())

    assert (gone.status_code, gone.json()["state"], gone.json()["allowed_actions"]) == (200, "cancelled", [])
    assert {task["state"] for task in gone.json()["tasks"]} == {"cancelled"}
    stored = Defect.objects.values_list("state", "order_id", "order_number")
    assert set(stored) == {(DefectState.REPORTED, None, None)}


def test_outside_repair_told_by_the_driver__tasks_done_by_somebody_without_sign_in(shop: Shop) -> None:
    told = acting_as("iris").post(
        "outside-repairs",
        {
            "order": str(shop.order.pk),
            "firm": "Crookspoke Road Tire",
            "worker": "Rita Sand",
            "place": "mile 212, eastbound",
            "work": "Lamp replaced",
            "done_at": (NOON - HOUR).isoformat(),
            "tasks": [{"task": str(shop.lamp_task.pk), "correction": "lamp replaced"}],
            "invoice": "H-1182",
            "cost": "184.50",
            "currency": "USD",
            "photo_sha256": "ab" * 32,
        },
    )

    assert told.status_code == 201, told.content
    assert (told.json()["worker"]["name"], told.json()["cost"]) == ("Rita Sand", "184.50")
    assert shop.lamp_task.state == TaskState.DONE
    worker, entered = Defect.objects.get(pk=shop.lamp.pk).worked_by.order_by("-firm")
    assert entered.name.startswith("Iris")
    assert (worker.name, worker.username, worker.firm) == ("Rita Sand", None, "Crookspoke Road Tire")
    assert acting_as("hob").get("outside-repairs", order=str(shop.order.number)).json()["results"] == [told.json()]


@pytest.mark.parametrize("stale", ['"0"', '"99"'])
def test_version_that_is_not_the_present_one__refused(shop: Shop, stale: str) -> None:
    refused = acting_as("hob").post(f"{shop.path}/cancel", {"reason": "mistake"}, if_match=stale)
    assert (refused.status_code, refused.json()["code"]) == (412, "version_changed")


def test_no_version__refused(shop: Shop) -> None:
    refused = acting_as("hob").post(f"{shop.path}/cancel", {"reason": "mistake"})
    assert (refused.status_code, refused.json()["code"]) == (428, "if_match_required")
