"""Going back to an earlier release: what works, what is refused, and that a refusal has changed nothing."""

import contextlib
import time
from importlib import import_module

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connection, models
from django.db.migrations import AddField, Migration, RunSQL
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from common import clock
from fleet import upgrades
from fleet.models import WebhookEndpoint
from fleet.selectors.operation.steps_back import lost_by_undoing
from tests.factories.fleet import make_person
from tests.support.committing import CommittingDatabase


def applied() -> set[tuple[str, str]]:
    return set(MigrationRecorder(connection).applied_migrations())


def migrate(*words: str) -> None:
    call_command("migrate", *words, verbosity=0, interactive=False)


@pytest.fixture
def no_floor(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(upgrades, "SINCE", {})


@pytest.mark.drill
@pytest.mark.django_db
@pytest.mark.parametrize("app", upgrades.SINCE)
def test_back_to_the_floor_and_forward_again__works(app: str) -> None:
    head = applied()

    migrate(app, upgrades.SINCE[app])

    assert (app, upgrades.SINCE[app]) in applied()
    assert not {name for of, name in applied() if of == app and name > upgrades.SINCE[app]}
    migrate()
    assert applied() == head


@pytest.mark.django_db
def test_back_beyond_the_floor__refused() -> None:
    head = applied()
    with pytest.raises(CommandError, match=r"no way back before [a-z]+ 00.*Nothing was changed.*restore the backup"):
        migrate("fleet", "0029")
    assert applied() == head


@pytest.mark.django_db
def test_back_over_rows_that_would_be_dropped__refused_with_their_tables(no_floor: None) -> None:
    head = applied()
    vera = make_person("vera")
    hook = {"url": "https://example.invalid/hook", "secret": "k" * 32, "recorded_at": clock.now()}
    WebhookEndpoint.objects.create(person=vera, recorded_by=vera, **hook)
    with pytest.raises(CommandError, match=r"fleet_webhookendpoint \(1 rows\).*Nothing was changed"):
        migrate("fleet", "0012")
    assert applied() == head
    assert WebhookEndpoint.objects.count() == 1


@pytest.mark.django_db
def test_columns_that_say_nothing__are_no_loss() -> None:
    """Of the demo's kind of rows: what a new column holds for rows from before it is no fact."""
    make_person("vera")
    loader = MigrationExecutor(connection).loader
    apps = loader.project_state().apps
    silent = adding(
        AddField("person", "sign_in_given", models.BooleanField()),
        AddField("person", "email", models.EmailField()),
        AddField("person", "left_on", models.DateField()),
    )
    assert lost_by_undoing([silent], apps) == []
    assert lost_by_undoing([adding(AddField("person", "name", models.CharField()))], apps) == [
        "fleet_person.name (1 rows)"
    ]


def adding(*added: AddField) -> Migration:
    class Adding(Migration):
        operations = list(added)

    return Adding("0099_added", "fleet")


@pytest.mark.django_db
def test_back_over_a_step_that_fails__leaves_every_step_undone(no_floor: None, monkeypatch: pytest.MonkeyPatch) -> None:
    head = applied()
    first = import_module("workorders.migrations.0003_work_under_way").Migration
    monkeypatch.setattr(first, "operations", [RunSQL("SELECT 1")])
    with pytest.raises(CommandError, match=r"Going back fails.*Nothing was changed"):
        migrate("workorders", "0002")
    assert applied() == head


def test_step_that_the_release_before_stumbles_over__waits_until_it_is_stopped(
    no_floor: None, monkeypatch: pytest.MonkeyPatch, committing_db: CommittingDatabase
) -> None:
    head = applied()
    migrate("workorders", "0003")
    stops = {("workorders", "0004_paused_for_cold_freight"): "takes a column away"}
    monkeypatch.setattr(upgrades, "STOP_FIRST", stops)
    with (
        psycopg.connect(committing_db.web.url()),
        pytest.raises(CommandError, match=r"0004_paused_for_cold_freight: takes a column away.*1 of its sessions"),
    ):
        migrate()
    assert applied() != head
    until = time.monotonic() + 10.0  # a session that ended is listed for a moment
    while applied() != head:
        with contextlib.suppress(CommandError):
            migrate()
        assert time.monotonic() < until
