"""The figures for a watching program: counted when asked for, and told to whom they are meant for."""

import datetime as dt
import re
import tomllib
from uuid import UUID

import pytest
import yaml
from django.db import connection
from prometheus_client.parser import text_string_to_metric_families

from common.jobs import jobs
from common.release import RELEASE
from config.env import CHECKOUT
from fleet.enums import Deleted, Role
from fleet.models import DeviceToken, SignInAttempt
from fleet.services.operation.job_runs import note_queue, note_run
from tests.factories.fleet import NOON, DeletionFactory, DeliveryFactory, make_carrier, make_person, make_unit
from tests.support.acting import Device, acting_as

pytestmark = pytest.mark.django_db
ELSEWHERE = {"reefer_people_without_address", "reefer_token_left_seconds"}
PROMETHEUS_ACCEPTS = "application/openmetrics-text;version=1.0.0,text/plain;version=0.0.4;q=0.5,*/*;q=0.1"


def series(clearance_request: Device) -> dict[tuple[str, ...], float]:
    """Every series, by its name and the values of its labels."""
    families = text_string_to_metric_families(clearance_request.send("GET", "/metrics").content.decode())
    return {(s.name, *s.labels.values()): s.value for family in families for s in family.samples}


def figures(clearance_request: Device) -> dict[str, float]:
    answer = clearance_request.send("GET", "/metrics")
    assert (answer.status_code, answer.headers["Content-Type"]) == (200, "text/plain; version=0.0.4; charset=utf-8")
    families = text_string_to_metric_families(answer.content.decode())
    return {sample.name: sample.value for family in families for sample in family.samples}


def test_figures__are_those_of_the_database() -> None:
    make_carrier()
    make_unit()
    person = make_person("Hob Anselm")
    for state, due in (
        ("pending", NOON - dt.timedelta(minutes=5)),
        ("pending", NOON),
        ("parked", NOON),
        ("sent", NOON),
    ):
        DeliveryFactory.create(
            person=person,
            state=state,
            created_at=due,
            next_try_at=NOON + dt.timedelta(hours=1),
            message_id=f"{state}-{due.minute}",
        )
    told = figures(acting_as(Role.ADMINISTRATOR))
    assert {name: value for name, value in told.items() if name not in ELSEWHERE and "reefer_job_" not in name} == {
        "reefer_units_in_service": 1,
        "reefer_walkarounds": 0,
        "reefer_defects_open": 0,
        "reefer_holds_active": 0,
        "reefer_repair_orders_active": 0,
        "reefer_deliveries_pending": 2,
        "reefer_deliveries_parked": 1,
        "reefer_deliveries_overdue_seconds": 300,
        "reefer_mail_server_set": 1,
        "reefer_sign_ins_refused": 0,
        "reefer_records_deleted_last_day": 0,
        "reefer_migrations_outstanding": 0,
        "reefer_release": 1,
    }


def test_people_whom_no_message_can_reach__counted_while_they_hold_a_role_and_listed() -> None:
    make_carrier()
    clearance_request = acting_as(Role.ADMINISTRATOR)
    before = figures(clearance_request)["reefer_people_without_address"]
    make_person("Hob Anselm", Role.FOREMAN)
    make_person("Dee Moss", Role.FOREMAN, email="dee@carrier.invalid")
    make_person("Outside Hand")

    assert figures(clearance_request)["reefer_people_without_address"] == before + 1
    names = [
        row["name"] for row in clearance_request.get("people", has_address="false", role="foreman").json()["results"]
    ]
    assert names == ["Hob Anselm"]
    names = [
        row["name"] for row in clearance_request.get("people", has_address="true", role="foreman").json()["results"]
    ]
    assert names == ["Dee Moss"]


def test_jobs__age_lateness_and_failure_of_each() -> None:
    make_carrier()
    note_run("deliver_notifications", well=True, now=NOON - dt.timedelta(seconds=90))
    note_run("deliver_notifications", well=False, now=NOON)
    told = series(acting_as(Role.ADMINISTRATOR))
    assert told["reefer_job_age_seconds", "deliver_notifications"] == 90
    assert (told["reefer_job_late", "deliver_notifications"], told["reefer_job_failed", "deliver_notifications"]) == (
        0,
        1,
    )
    assert ("reefer_job_age_seconds", "escalate_notifications") not in told
    assert (told["reefer_job_late", "escalate_notifications"], told["reefer_job_failed", "escalate_notifications"]) == (
        1,
        0,
    )


def test_figures__are_kept_from_everybody_else() -> None:
    make_carrier()
    assert Device().send("GET", "/metrics").status_code == 401
    refused = {role: acting_as(role).send("GET", "/metrics").status_code for role in Role}
    assert {role for role, status in refused.items() if status != 403} == {Role.ADMINISTRATOR, Role.AUDITOR}
    assert {refused[Role.ADMINISTRATOR], refused[Role.AUDITOR]} == {200}


def test_watching_programs_accept_header__is_met(client: object) -> None:
    make_carrier()
    token = acting_as(Role.AUDITOR).token
    headers = {"Authorization": f"Bearer {token}", "Accept": PROMETHEUS_ACCEPTS}
    assert client.get("/metrics", headers=headers).status_code == 200  # type: ignore[attr-defined]


def test_queue__as_a_worker_last_saw_it() -> None:
    make_carrier()
    clearance_request = acting_as(Role.ADMINISTRATOR)
    assert not [name for name in series(clearance_request) if name[0].startswith("reefer_queue")]
    note_queue("jobs", waiting=3, waited_s=-0.2, now=NOON - dt.timedelta(minutes=2))
    told = series(clearance_request)
    assert told["reefer_queue_waiting", "jobs"] == 3
    assert told["reefer_queue_waited_seconds", "jobs"] == 0
    assert told["reefer_queue_report_age_seconds", "jobs"] == 120


def test_refused_sign_ins__those_of_windows_that_are_not_over() -> None:
    make_carrier()
    clearance_request = acting_as(Role.ADMINISTRATOR)
    wrong = {"username": "nobody", "password": "a wrong one, thrice", "device": "a phone"}
    for _ in range(3):
        assert Device().post("tokens", wrong).status_code == 401
    assert figures(clearance_request)["reefer_sign_ins_refused"] == 3
    SignInAttempt.objects.update(window_starts_at=NOON - dt.timedelta(minutes=15))
    assert figures(clearance_request)["reefer_sign_ins_refused"] == 0


def test_records_deleted__within_a_day() -> None:
    make_carrier()
    for number, at in enumerate((NOON - dt.timedelta(hours=23), NOON - dt.timedelta(hours=25))):
        DeletionFactory.create(
            what=Deleted.HISTORY_CONTENT,
            record=UUID(int=number),
            record_kind="load",
            retained_until=at.date(),
            content_hash="0" * 64,
            deleted_at=at,
        )
    assert figures(acting_as(Role.ADMINISTRATOR))["reefer_records_deleted_last_day"] == 1


def test_token_of_the_watching_program__how_long_it_lasts() -> None:
    make_carrier()
    clearance_request = acting_as(Role.AUDITOR)
    DeviceToken.objects.update(ends_at=NOON + dt.timedelta(days=20))
    assert figures(clearance_request)["reefer_token_left_seconds"] == 20 * 86_400


def test_migrations__those_that_the_database_lacks() -> None:
    make_carrier()
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'fleet' AND name = '0001_initial'")
    assert figures(acting_as(Role.ADMINISTRATOR))["reefer_migrations_outstanding"] == 1


def test_release__is_that_of_the_project_and_a_label() -> None:
    make_carrier()
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())["project"]
    assert project["version"] == RELEASE
    assert series(acting_as(Role.ADMINISTRATOR))["reefer_release", RELEASE] == 1


def test_alert_rules_example__names_existing_series_and_jobs() -> None:
    make_carrier()
    for job in jobs():
        note_run(job.name, well=True, now=NOON)
    note_queue("jobs", waiting=0, waited_s=0, now=NOON)
    given = series(acting_as(Role.ADMINISTRATOR))
    groups = yaml.safe_load((CHECKOUT / "config" / "deploy" / "alerts.yml").read_text())["groups"]
    rules = [rule for group in groups for rule in group["rules"]]
    assert len({rule["alert"] for rule in rules}) == len(rules) > 10
    asked = {name for rule in rules for name in re.findall(r"reefer_\w+", rule["expr"])}
    assert asked - {name for name, *_ in given} == set()
    named = {name for rule in rules for name in re.findall(r'name="(\w+)"', rule["expr"])}
    assert named - {job.name for job in jobs()} == set()
    assert all(rule["annotations"]["summary"] and rule["labels"]["severity"] for rule in rules)
