"""What machines ask: whether the process lives, whether it can work."""

import pytest
from django.db import OperationalError, connection
from django.test import Client

from config import probes


def test_livez__answers_without_a_database(client: Client) -> None:
    answer = client.get("/livez")

    assert (answer.status_code, answer.json()) == (200, {"status": "alive"})


@pytest.mark.django_db
def test_readyz__database_answers_and_is_migrated__ready(client: Client) -> None:
    answer = client.get("/readyz")

    assert (answer.status_code, answer.json()) == (200, {"status": "ready"})


@pytest.mark.django_db
def test_readyz__a_migration_is_missing__503_and_named_in_the_log(
    client: Client, caplog: pytest.LogCaptureFixture
) -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'fleet' AND name = '0001_tables'")

    answer = client.get("/readyz")

    assert answer.status_code == 503
    assert answer.headers["Retry-After"] == "5"
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert "fleet.0001_tables" in caplog.text


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
def test_documentation__needs_no_sign_in(client: Client) -> None:
    assert client.get("/docs").status_code == 200
    described = client.get("/openapi.yaml")
    assert described.status_code == 200
    assert described.content.startswith(b"openapi: 3.1.1\n")
