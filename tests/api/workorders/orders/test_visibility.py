"""Who sees what of the shop, what lists can be asked for, and what a list costs."""

from itertools import count

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from defects.enums import Severity
from fleet.enums import Role
from fleet.models import Site
from tests.api.workorders.conftest import Shop
from tests.factories.fleet import NOON, TODAY, PersonRoleFactory, make_bare_unit, make_person, make_site
from tests.factories.workorders import LaborEntryFactory, OutsideRepairFactory, make_defect, make_order, task_of
from tests.support.acting import Device, acting_as, codes
from workorders.enums import OrderState
from workorders.models import RepairOrder, RepairTask

_numbers = count(1)


def mechanic_at(site: Site, role: Role = Role.MECHANIC) -> Device:
    person = make_person("Oto Fenn")
    PersonRoleFactory.create(person=person, role=role, site=site, starts_on=TODAY)
    return acting_as(person)


def paths(shop: Shop) -> dict[str, str]:
    """One row of each kind."""
    entry = LaborEntryFactory.create(task=shop.lamp_task, person=shop["sam"], ended_at=NOON)
    repair = OutsideRepairFactory.create(
        order=shop.order, firm="Crookspoke", worker=make_person("Rita Sand"), work="lamp", recorded_by=shop["hob"]
    )
    return {
        "order": shop.path,
        "task": f"repair-tasks/{shop.lamp_task.pk}",
        "labor": f"labor-entries/{entry.pk}",
        "outside": f"outside-repairs/{repair.pk}",
    }


def seen(who: Device, of: dict[str, str]) -> dict[str, int]:
    return {name: who.get(path).status_code for name, path in of.items()}


EVERYTHING = {"order": 200, "task": 200, "labor": 200, "outside": 200}


def test_rows__by_role_held_everywhere(shop: Shop) -> None:
    of = paths(shop)
    assert {role: seen(acting_as(role), of) for role in Role} == {
        Role.AUDITOR: EVERYTHING,
        Role.COMPLIANCE: EVERYTHING,
        Role.FOREMAN: EVERYTHING,
        Role.MECHANIC: EVERYTHING,
        Role.DISPATCH: {**EVERYTHING, "labor": 403},
        Role.DRIVER: {**EVERYTHING, "labor": 403},
        Role.TRAINER: {**EVERYTHING, "labor": 403},
        Role.ADMINISTRATOR: dict.fromkeys(EVERYTHING, 403),
    }


def test_rows__of_another_site_are_not_there_for_the_shops_people(shop: Shop) -> None:
    of = paths(shop)
    assert seen(mechanic_at(shop.site), of) == EVERYTHING
    elsewhere = mechanic_at(make_site("River Dock"))
    assert seen(elsewhere, of) == dict.fromkeys(of, 404)
    assert [elsewhere.get(path).json()["results"] for path in ("repair-orders", "repair-tasks", "labor-entries")] == [
        []
    ] * 3
    RepairOrder.objects.update(site=None)
    assert seen(elsewhere, of) == EVERYTHING


def test_moves__of_another_sites_order_are_not_there(shop: Shop) -> None:
    foreman = mechanic_at(make_site("River Dock"), Role.FOREMAN)
    refused = foreman.post(f"{shop.path}/cancel", {"reason": "mine"}, if_match=shop.tag())
    assert (refused.status_code, refused.json()["code"]) == (404, "order_unknown")
    task = foreman.post(f"repair-tasks/{shop.lamp_task.pk}/assign", {"lead": str(shop["sam"].pk)}, if_match='"1"')
    assert (task.status_code, task.json()["code"]) == (404, "task_unknown")
    labor = foreman.post("labor-entries", {"task": str(shop.lamp_task.pk), "role": "lead"})
    assert (labor.status_code, labor.json()["code"]) == (422, "task_unknown")
    for unit in (str(shop.order.unit), str(make_bare_unit("NL-16", home_site=shop.site))):
        opened = foreman.post("repair-orders", {"unit": unit, "jobs": [{"complaint": "wheel re-check"}]})
        assert (opened.status_code, opened.json()["code"]) == (403, "role_not_allowed")
    assert (shop.tag(), RepairOrder.objects.count()) == ('"1"', 1)


HERE, THERE, ANYWHERE = "here", "there", None
FOREMANS, MECHANICS = ["assign", "cancel", "set_expected_time", "start"], ["start"]


@pytest.mark.parametrize(
    ("held", "reads", "cancels", "actions"),
    [
        ([(Role.FOREMAN, ANYWHERE)], 200, 200, FOREMANS),
        ([(Role.FOREMAN, HERE)], 200, 200, FOREMANS),
        ([(Role.FOREMAN, HERE), (Role.MECHANIC, THERE)], 200, 200, FOREMANS),
        ([(Role.FOREMAN, THERE)], 404, 404, None),
        ([(Role.MECHANIC, HERE)], 200, 403, MECHANICS),
        ([(Role.MECHANIC, HERE), (Role.FOREMAN, THERE)], 200, 403, MECHANICS),
        ([(Role.MECHANIC, ANYWHERE), (Role.FOREMAN, THERE)], 200, 403, MECHANICS),
        ([(Role.MECHANIC, THERE)], 404, 403, None),
        ([(Role.DISPATCH, ANYWHERE), (Role.FOREMAN, THERE)], 200, 404, []),
        ([(Role.DISPATCH, ANYWHERE)], 200, 403, []),
    ],
)
def test_role_at_one_site__counts_on_the_orders_of_that_site(
    held: list[tuple[Role, str | None]], reads: int, cancels: int, actions: list[str] | None, shop: Shop
) -> None:
    sites = {HERE: shop.site, THERE: make_site("River Dock"), ANYWHERE: None}
    person = make_person("Oto Fenn")
    for role, at in held:
        PersonRoleFactory.create(person=person, role=role, site=sites[at], starts_on=TODAY)
    who = acting_as(person)
    RepairOrder.objects.update(state=OrderState.ASSIGNED)

    read = who.get(shop.path)
    assert read.status_code == reads
    assert (sorted(read.json()["allowed_actions"]) if reads == 200 else None) == actions
    before = shop.tag()
    cancelled = who.post(f"{shop.path}/cancel", {"reason": "sold"}, if_match=before)
    assert cancelled.status_code == cancels, cancelled.content
    assert (shop.tag() == before) == (cancels != 200)


def test_assigned_to_somebody_of_another_shop__refused_until_the_order_moves_there(shop: Shop) -> None:
    dock = make_site("River Dock")
    oto = make_person("Oto Fenn")
    PersonRoleFactory.create(person=oto, role=Role.MECHANIC, site=dock, starts_on=TODAY)
    task = f"repair-tasks/{shop.lamp_task.pk}/assign"
    for path, body in ((task, {"lead": str(oto.pk)}), (task, {"lead": str(shop["sam"].pk), "helpers": [str(oto.pk)]})):
        refused = acting_as("hob").post(path, body, if_match='"1"')
        assert (refused.status_code, refused.json()["code"]) == (422, "not_of_the_shop")
    RepairTask.objects.filter(pk=shop.brake_task.pk).update(lead=shop["greta"])
    refused = acting_as("hob").post(f"{shop.path}/assign", {"assigned_to": str(oto.pk)}, if_match=shop.tag())
    assert (refused.status_code, refused.json()["code"]) == (422, "not_of_the_shop")
    moved = acting_as("hob").post(
        f"{shop.path}/assign", {"assigned_to": str(oto.pk), "site": dock.code}, if_match=shop.tag()
    )
    assert moved.status_code == 200, moved.content
    assert (moved.json()["assigned_to"]["name"], moved.json()["site"]) == ("Oto Fenn", dock.code)


def test_defects_and_holds__are_every_foremans_wherever_the_role_is_held(shop: Shop) -> None:
    """A unit breaks down anywhere, and who lifts must be another than who did the work."""
    foreman = mechanic_at(make_site("River Dock"), Role.FOREMAN)
    read = foreman.get(f"defects/{shop.lamp.number}")
    assert read.status_code == 200
    body = {"severity": "do_not_move", "bars": "movement", "reason": "both lamps now"}
    raised = foreman.post(f"defects/{shop.lamp.number}/regrade", body, if_match=read.headers["ETag"])
    assert (raised.status_code, raised.json()["severity"]) == (200, "do_not_move")


def test_driver__reads_by_unit_only_and_may_do_nothing(shop: Shop) -> None:
    iris = acting_as("iris")
    for path in ("repair-orders", "repair-tasks", "outside-repairs"):
        refused = iris.get(path)
        assert (refused.status_code, codes(refused)) == (400, [("unit", "unit_needed")])
    found = iris.get("repair-orders", unit="lr-46").json()["results"]
    assert [(order["number"], order["allowed_actions"]) for order in found] == [(shop.order.number, [])]
    assert {tuple(task["allowed_actions"]) for task in found[0]["tasks"]} == {()}


def test_order__by_number_and_by_key_is_the_same(shop: Shop) -> None:
    by_number = acting_as("hob").get(shop.path)
    by_key = acting_as("hob").get(f"repair-orders/{shop.order.pk}")
    assert by_number.json() == by_key.json()
    assert by_number.headers["ETag"] == by_key.headers["ETag"]
    for nothing in ("999999", "LR-46", "9" * 30, "1e3"):
        assert acting_as("hob").get(f"repair-orders/{nothing}").status_code == 404


def test_answer__says_what_the_work_is_in_the_readers_language(shop: Shop) -> None:
    wen = make_person("Wen Castel", Role.MECHANIC, language="es")
    told = {
        who: next(task["defect"]["what"] for task in who.get(shop.path).json()["tasks"] if task["scope"])
        for who in (acting_as("hob"), acting_as(wen))
    }
    english, spanish = told.values()
    assert english.startswith("Pushrod stroke, axle 2 right: 2.31 in, limit 2 in")
    assert spanish.endswith("eje 2 derecha: 2.31 in, límite 2 in")


def test_allowed_actions__leave_out_what_would_be_refused_anyway(shop: Shop) -> None:
    order = acting_as("hob").get(shop.path).json()
    assert order["allowed_actions"] == ["assign", "cancel", "set_expected_time"]
    assert {tuple(task["allowed_actions"]) for task in order["tasks"]} == {("assign",)}
    RepairOrder.objects.update(state=OrderState.ASSIGNED)
    RepairTask.objects.update(lead=shop["greta"])
    path, names = f"repair-tasks/{shop.lamp_task.pk}", ("greta", "sam", "hob")
    allowed = [acting_as(name).get(path).json()["allowed_actions"] for name in names]
    assert allowed == [["start"], [], ["assign", "start"]]


CUT_DOWN_TO = {
    "state=open": ["LR-46", "NL-13"],
    "state=waiting": ["CU-42"],
    "waiting_for=parts": ["CU-42"],
    "waiting_for=outside": [],
    "open=false": ["LR-41"],
    "unit=CU-42": ["CU-42"],
    "worst_severity=do_not_move": ["LR-46"],
    "worst_severity=watch": [],
    "worst_severity=next_shop_visit": ["CU-42"],
    "expected_by=2026-03-06T18:00:00Z": ["CU-42"],
    "expected_by=2026-03-06T17:59:59Z": [],
    "since=2026-03-06T18:00:01Z": [],
}


def test_orders__cut_down_to(shop: Shop) -> None:
    iris = shop["iris"]
    make_order(make_defect(make_bare_unit("NL-13"), iris))
    make_order(
        make_defect(make_bare_unit("CU-42"), iris, severity=Severity.NEXT_SHOP_VISIT),
        state=OrderState.WAITING,
        waiting_for="parts",
        expected_at=NOON,
    )
    make_order(make_defect(make_bare_unit("LR-41"), iris), state=OrderState.CLOSED)
    hob = acting_as("hob")
    answers = {query: hob.get(f"repair-orders?{query}").json() for query in CUT_DOWN_TO}
    found = {query: sorted(order["unit"]["number"] for order in page["results"]) for query, page in answers.items()}
    assert found == CUT_DOWN_TO


def test_orders__by_person_and_several_states(shop: Shop) -> None:
    RepairOrder.objects.update(assigned_to=shop["greta"], state=OrderState.ASSIGNED)
    hob = acting_as("hob")
    assert len(hob.get("repair-orders", assigned_to=str(shop["greta"].pk)).json()["results"]) == 1
    assert hob.get("repair-orders", assigned_to=str(shop["sam"].pk)).json()["results"] == []
    both = hob.get("repair-orders?state=open&state=assigned")
    assert [order["state"] for order in both.json()["results"]] == ["assigned"]


@pytest.mark.parametrize(
    ("path", "query", "code"),
    [
        ("repair-orders", {"colour": "red"}, "unknown_parameter"),
        ("repair-orders", {"state": "broken"}, "invalid_parameter"),
        ("repair-tasks", {"lead": "Greta"}, "invalid_parameter"),
        ("labor-entries", {"open": "perhaps"}, "invalid_parameter"),
    ],
)
def test_query_that_is_not_known__refused(path: str, query: dict[str, str], code: str, shop: Shop) -> None:
    refused = acting_as("hob").get(path, **query)
    assert (refused.status_code, refused.json()["code"]) == (400, code)


@pytest.mark.parametrize(
    ("path", "body", "problems"),
    [
        ("repair-orders", {"unit": "ZZ-1", "jobs": [{"complaint": "grease"}]}, [("/unit", "unit_unknown")]),
        (
            "repair-orders",
            {"unit": "LR-46", "jobs": [{"complaint": "grease", "colour": "red"}]},
            [("/jobs/0/colour", "unknown_field")],
        ),
        (
            "repair-orders",
            {"unit": "LR-46", "jobs": [{"complaint": "a\u0007b"}]},
            [("/jobs/0/complaint", "text_control")],
        ),
        ("labor-entries", {"role": "boss"}, [("/task", "required"), ("/role", "invalid_choice")]),
    ],
)
def test_body_that_is_not_right__refused_with_its_place(
    path: str, body: object, problems: list[tuple[str, str]], shop: Shop
) -> None:
    refused = acting_as("hob").post(path, body)
    assert refused.status_code == 422, refused.content
    assert sorted(codes(refused)) == sorted(problems)


def test_foreman_opens_an_order__created_with_its_address(shop: Shop) -> None:
    unit = make_bare_unit("NL-16", home_site=shop.site)
    body = {"unit": "NL-16", "jobs": [{"complaint": "wheel re-check", "scope": "tires"}]}
    made = acting_as("hob").post("repair-orders", body, key="once")
    assert made.status_code == 201
    order = RepairOrder.objects.get(unit=unit)
    assert made.headers["Location"].endswith(f"/api/v1/repair-orders/{order.pk}")
    assert made.json()["tasks"][0]["complaint"] == "wheel re-check"
    again = acting_as("hob").post("repair-orders", body, key="once")
    assert (again.status_code, RepairOrder.objects.filter(unit=unit).count()) == (201, 1)
    assert task_of(shop.lamp).order_id == shop.order.pk


def test_labor__stopped_and_paused_over_http(shop: Shop) -> None:
    RepairOrder.objects.update(state=OrderState.IN_PROGRESS)
    RepairTask.objects.filter(pk=shop.lamp_task.pk).update(state="started")
    sam = acting_as("sam")
    for how, body, cause in (("stop", {}, ""), ("pause", {"cause": "lift taken"}, "lift taken")):
        entry = sam.post("labor-entries", {"task": str(shop.lamp_task.pk), "role": "lead"}).json()
        assert entry["ended_at"] is None
        assert acting_as("hob").get("labor-entries", open="true").json()["results"] == [entry]
        ended = sam.post(f"labor-entries/{entry['id']}/{how}", body)
        assert (ended.status_code, ended.json()["pause_cause"]) == (200, cause)
        assert ended.json()["ended_at"] == "2026-03-06T18:00:00Z"


def test_lists__cost_the_same_for_two_rows_and_for_twenty(shop: Shop) -> None:
    hob = acting_as("hob")

    def fill(rows: int) -> None:
        for _ in range(rows):
            defect = make_defect(make_bare_unit(f"U-{next(_numbers)}"), shop["iris"])
            order = make_order(defect, state=OrderState.IN_PROGRESS)
            task = task_of(defect)
            task.helpers.add(shop["nell"])
            LaborEntryFactory.create(task=task, person=shop["sam"], ended_at=NOON)
            repair = OutsideRepairFactory.create(
                order=order, firm="Crookspoke", worker=shop["sam"], work="lamp", recorded_by=shop["hob"]
            )
            repair.tasks.add(task)

    def statements(path: str, at_least: int) -> int:
        with CaptureQueriesContext(connection) as queries:
            answer = hob.get(path)
        assert len(answer.json()["results"]) >= at_least
        return len(queries)

    lists = ("repair-orders", "repair-tasks", "labor-entries", "outside-repairs")
    fill(2)
    few = [statements(path, 2) for path in lists]
    fill(18)
    assert [statements(path, 20) for path in lists] == few
    assert max(few) <= 12
