"""Going back to an earlier release: what works, what is refused, and that a refusal has changed nothing."""

import contextlib
import time
from collections.abc import Sequence
from importlib import import_module

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connection, models
from django.db.migrations import AddField, Migration, RunSQL
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder
from django.test.utils import CaptureQueriesContext

from common import clock
from fleet import upgrades
from fleet.management.doctor.database import examine_migrations
from fleet.models import WebhookEndpoint
from fleet.selectors.operation.steps_back import lost_by_undoing
from tests.factories.fleet import make_person
from tests.support.committing import CommittingDatabase

OURS = ("workorders", "defects", "fleet")


def applied() -> set[tuple[str, str]]:
    return set(MigrationRecorder(connection).applied_migrations())


def migrate(*words: str) -> None:
    call_command("migrate", *words, verbosity=0, interactive=False)


@pytest.mark.drill
@pytest.mark.timeout(180)
@pytest.mark.django_db
@pytest.mark.parametrize("app", OURS)
def test_back_to_nothing_and_forward_again__works(app: str) -> None:
    head = applied()

    migrate(app, "zero")

    assert (app, "0001_initial") not in applied()
    migrate()
    assert applied() == head


@pytest.mark.django_db
def test_back_over_rows_that_would_be_dropped__refused_with_their_tables() -> None:
    head = applied()
    vera = make_person("vera")
    hook = {"url": "https://example.invalid/hook", "secret": "k" * 32, "recorded_at": clock.now()}
    WebhookEndpoint.objects.create(person=vera, recorded_by=vera, **hook)
    with pytest.raises(CommandError, match=r"fleet_webhookendpoint \(1 rows\).*restore the backup"):
        migrate("fleet", "zero")
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
def test_back_over_a_step_that_fails__leaves_every_step_undone(monkeypatch: pytest.MonkeyPatch) -> None:
    head = applied()
    first = import_module("workorders.migrations.0001_initial").Migration
    monkeypatch.setattr(first, "operations", [RunSQL("SELECT 1")])
    with pytest.raises(CommandError, match=r"Going back fails.*Nothing was changed"):
        migrate("workorders", "zero")
    assert applied() == head


def test_step_that_the_release_before_stumbles_over__waits_until_it_is_stopped(
    monkeypatch: pytest.MonkeyPatch, committing_db: CommittingDatabase
) -> None:
    head = applied()
    migrate("workorders", "zero")
    stops = {("workorders", "0001_initial"): "takes a column away"}
    monkeypatch.setattr(upgrades, "STOP_FIRST", stops)
    with (
        psycopg.connect(committing_db.web.url()),
        pytest.raises(CommandError, match=r"0001_initial: takes a column away.*1 of its sessions"),
    ):
        migrate()
    assert applied() != head
    until = time.monotonic() + 10.0  # a session that ended is listed for a moment
    while applied() != head:
        with contextlib.suppress(CommandError):
            migrate()
        assert time.monotonic() < until


def of_the_release_before(*, lacking: Sequence[tuple[str, str]] = ()) -> None:
    """Let the database say that the migrations which were joined made it, but these, and not what stands for them."""
    for step in [*((app, "0001_initial") for app in OURS), *lacking]:
        MigrationRecorder(connection).record_unapplied(*step)


@pytest.mark.django_db
def test_database_of_the_release_before__is_taken_over_without_a_step() -> None:
    head = applied()
    of_the_release_before()
    with CaptureQueriesContext(connection) as ran:
        migrate()
    assert head == applied()
    assert [each["sql"] for each in ran if each["sql"].startswith(("CREATE", "ALTER", "DROP"))] == []
    assert list(examine_migrations()) == []


@pytest.mark.django_db
def test_database_of_an_earlier_release__refused_and_told_by_way_of_which_commit() -> None:
    of_the_release_before(lacking=[("workorders", "0003_work_under_way")])
    before = applied()
    with pytest.raises(CommandError, match=rf"lacks workorders\.0003_work_under_way.*{upgrades.LAST_BEFORE} first"):
        migrate()
    assert applied() == before
