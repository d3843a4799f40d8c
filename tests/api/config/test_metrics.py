"""The figures for a watching program: counted when asked for, and told to whom they are meant for."""

import datetime as dt

import pytest
from prometheus_client.parser import text_string_to_metric_families

from fleet.enums import Role
from fleet.models import Delivery
from fleet.services.sweep_runs import note_run
from tests.factories.fleet import NOON, caller, make_carrier, make_person, make_unit
from tests.support.api import Caller

pytestmark = pytest.mark.django_db
PROMETHEUS_ACCEPTS = "application/openmetrics-text;version=1.0.0,text/plain;version=0.0.4;q=0.5,*/*;q=0.1"


def figures(asking: Caller) -> dict[str, float]:
    answer = asking.send("GET", "/metrics")
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "text/plain; version=0.0.4; charset=utf-8")
    families = text_string_to_metric_families(answer.content.decode())
    return {sample.name: sample.value for family in families for sample in family.samples}


def test_figures__are_those_of_the_database() -> None:
    make_carrier()
    make_unit()
    person = make_person("Hob Anselm")
    for state, due in (("owed", NOON - dt.timedelta(minutes=5)), ("owed", NOON), ("parked", NOON), ("sent", NOON)):
        Delivery.objects.create(
            person=person,
            channel="mail",
            state=state,
            owed_at=due,
            next_try_at=NOON + dt.timedelta(hours=1),  # put off after a failure: overdue since it was owed
            message_id=f"{state}-{due.minute}",
        )
    told = figures(caller(Role.ADMINISTRATOR))
    assert {name: value for name, value in told.items() if "sweep" not in name and "people" not in name} == {
        "reefer_units_in_service": 1,
        "reefer_walkarounds": 0,
        "reefer_defects_open": 0,
        "reefer_holds_standing": 0,
        "reefer_repair_orders_standing": 0,
        "reefer_deliveries_owed": 2,
        "reefer_deliveries_parked": 1,
        "reefer_deliveries_overdue_seconds": 300,
        "reefer_mail_server_set": 1,
    }


def test_people_whom_no_message_can_reach__counted_while_they_hold_a_role_and_listed() -> None:
    make_carrier()
    asking = caller(Role.ADMINISTRATOR)
    before = figures(asking)["reefer_people_without_address"]
    make_person("Hob Anselm", Role.FOREMAN)
    make_person("Dee Moss", Role.FOREMAN, email="dee@carrier.invalid")
    make_person("Outside Hand")

    assert figures(asking)["reefer_people_without_address"] == before + 1
    names = [row["name"] for row in asking.get("people", has_address="false", role="foreman").json()["results"]]
    assert names == ["Hob Anselm"]
    names = [row["name"] for row in asking.get("people", has_address="true", role="foreman").json()["results"]]
    assert names == ["Dee Moss"]


def test_sweeps__age_lateness_and_failure_of_each() -> None:
    make_carrier()
    note_run("deliver_notices", well=True, now=NOON - dt.timedelta(seconds=90))
    note_run("deliver_notices", well=False, now=NOON)
    answer = caller(Role.ADMINISTRATOR).send("GET", "/metrics")
    families = text_string_to_metric_families(answer.content.decode())
    told = {(s.name, s.labels.get("sweep")): s.value for family in families for s in family.samples}
    assert told["reefer_sweep_age_seconds", "deliver_notices"] == 90
    assert (told["reefer_sweep_late", "deliver_notices"], told["reefer_sweep_failed", "deliver_notices"]) == (0, 1)
    assert ("reefer_sweep_age_seconds", "sweep_notices") not in told
    assert (told["reefer_sweep_late", "sweep_notices"], told["reefer_sweep_failed", "sweep_notices"]) == (1, 0)


def test_figures__are_kept_from_everybody_else() -> None:
    make_carrier()
    assert Caller().send("GET", "/metrics").status_code == 401
    refused = {role: caller(role).send("GET", "/metrics").status_code for role in Role}
    assert {role for role, status in refused.items() if status != 403} == {Role.ADMINISTRATOR, Role.AUDITOR}
    assert {refused[Role.ADMINISTRATOR], refused[Role.AUDITOR]} == {200}


def test_watching_programs_accept_header__is_met(client: object) -> None:
    make_carrier()
    token = caller(Role.AUDITOR).token
    headers = {"Authorization": f"Bearer {token}", "Accept": PROMETHEUS_ACCEPTS}
    assert client.get("/metrics", headers=headers).status_code == 200  # type: ignore[attr-defined]
