"""What machines ask: whether the process lives, whether it can work."""

import datetime as dt
import time

import psycopg
import pytest
from django.db import OperationalError, connection
from django.test import Client
from drf_spectacular.generators import SchemaGenerator

from common import clock
from common.jobs import jobs
from config import description, probes
from fleet.enums import DeliveryState
from fleet.models import Delivery
from fleet.services.operation.job_runs import note_run
from tests.factories.fleet import hold_draft, make_recipient, owe
from tests.support.committing import CommittingDatabase


def test_livez__answers_without_a_database(client: Client) -> None:
    answer = client.get("/livez")

    assert (answer.status_code, answer.json()) == (200, {"status": "alive"})


@pytest.mark.django_db
def test_readyz__database_answers_and_is_migrated__ready(client: Client) -> None:
    answer = client.get("/readyz")

    body = answer.json()
    assert (answer.status_code, body["status"], body["parked_deliveries"]) == (200, "ready", 0)
    assert body["mail_server_set"] is True


@pytest.mark.django_db
def test_readyz__tells_which_job_ran_failed_or_is_late_and_stays_ready(client: Client) -> None:
    now = clock.now()
    note_run("deliver_notifications", well=True, now=now)
    note_run("escalate_notifications", well=True, now=now - dt.timedelta(minutes=6))
    note_run("remind_of_documents", well=True, now=now - dt.timedelta(minutes=2))
    note_run("remind_of_documents", well=False, now=now)

    answer = client.get("/readyz")

    told = {row["name"]: (row["late"], row["failed"]) for row in answer.json()["jobs"]}
    assert answer.status_code == 200
    assert set(told) == {job.name for job in jobs()}
    assert told["deliver_notifications"] == (False, False)
    assert told["escalate_notifications"] == (True, False)
    assert told["remind_of_documents"] == (False, True)
    assert told["purge_records"] == (True, False)
    note_run("remind_of_documents", well=True, now=now + dt.timedelta(seconds=1))
    again = {row["name"]: row["failed"] for row in client.get("/readyz").json()["jobs"]}
    assert again["remind_of_documents"] is False


@pytest.mark.django_db
def test_readyz__messages_that_could_not_leave__counted_and_still_ready(client: Client) -> None:
    owe(hold_draft(make_recipient("First Person"), make_recipient("Second Person"), make_recipient("Third Person")))
    Delivery.objects.exclude(person__name="Third Person").update(state=DeliveryState.PARKED)

    answer = client.get("/readyz")

    assert (answer.status_code, answer.json()["parked_deliveries"]) == (200, 2)


def test_readyz__counting_takes_longer_than_it_may__503(committing_db: CommittingDatabase) -> None:
    with psycopg.connect(committing_db.owner.url()) as other:
        other.execute("LOCK TABLE fleet_delivery IN ACCESS EXCLUSIVE MODE")
        begun = time.monotonic()

        answer = Client().get("/readyz")

        assert time.monotonic() - begun < 2
    assert answer.status_code == 503


@pytest.mark.django_db
def test_readyz__a_migration_is_missing__503_and_named_in_the_log(
    client: Client, caplog: pytest.LogCaptureFixture
) -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'fleet' AND name = '0001_initial'")

    answer = client.get("/readyz")

    assert answer.status_code == 503
    assert answer.headers["Retry-After"] == "5"
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert "fleet.0001_initial" in caplog.text


def test_readyz__database_is_gone__503(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_self: probes.Readiness) -> list[str]:
        raise OperationalError("connection refused")

    monkeypatch.setattr(probes.Readiness, "missing", refuse)

    answer = client.get("/readyz")

    assert answer.status_code == 503
    assert answer.headers["Retry-After"] == "5"


@pytest.mark.parametrize("path", ["/livez", "/readyz"])
@pytest.mark.parametrize("method", ["post", "put", "delete"])
def test_probe__only_read(client: Client, path: str, method: str) -> None:
    assert getattr(client, method)(path).status_code == 405


@pytest.mark.django_db
def test_documentation__needs_no_sign_in_and_is_made_once(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is in it: `tests/architecture/test_openapi.py`; making it takes seconds."""
    monkeypatch.setattr(description, "_made", {})
    monkeypatch.setattr(SchemaGenerator, "get_schema", lambda *_, **__: {"openapi": "3.1.1"})
    assert client.get("/docs").status_code == 200
    first = client.get("/openapi.yaml")
    assert (first.status_code, first.content) == (200, b"openapi: 3.1.1\n")
    monkeypatch.setattr(SchemaGenerator, "get_schema", None)
    again = client.get("/openapi.yaml")
    assert (again.status_code, again.content, again["Content-Type"]) == (200, first.content, first["Content-Type"])
    assert again["Content-Disposition"] == first["Content-Disposition"]


@pytest.mark.parametrize("path", ["/livez", "/readyz", "/docs", "/openapi.yaml", "/problems/", "/problems/not_found"])
def test_page_beside_the_api__refuses_a_query_that_it_does_not_know(client: Client, path: str) -> None:
    answer = client.get(path, query_params={"version": "9"})
    assert (answer.status_code, answer.json()["code"], answer.json()["unknown"]) == (
        400,
        "unknown_parameter",
        ["version"],
    )
