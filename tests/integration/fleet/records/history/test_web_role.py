"""What the role of the web process can and cannot do, tried as that role on a database of its own."""

import io
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.db import connection, connections, transaction
from psycopg import errors, sql

from config.local.roles import WEB
from fleet.enums import Channel, Role
from fleet.models import HistoryEntry
from fleet.services.notifications.answer import acknowledge_notification
from fleet.services.notifications.channels import Senders
from fleet.services.notifications.deliveries import deliver_pending
from fleet.services.notifications.job import escalate_notifications
from fleet.services.operation.database_roles import SET_ONCE
from fleet.services.records.digests import write_history_digest
from fleet.services.records.verification.verify import verify_history
from tests.factories.fleet import (
    NOON,
    DeviceTokenFactory,
    hold_draft,
    make_bare_unit,
    make_carrier,
    make_recipient,
    owe,
    write_entries,
)
from tests.support.any_row import any_row
from tests.support.committing import CommittingDatabase
from tests.support.outbox import Outbox

APPEND_ONLY = "SELECT tgrelid::regclass::text FROM pg_trigger WHERE tgname = 'append_only' ORDER BY 1"
PURGE_CONTENT = "purge_history_content('load', ARRAY[gen_random_uuid()], current_date, gen_random_uuid(), 'r', 's')"
ALL = "SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1"


@pytest.fixture
def granted(committing_db: CommittingDatabase) -> CommittingDatabase:
    """The grants of the database itself are not copied with a clone, so they are given again."""
    call_command("grant_web_role", role=WEB, verbosity=0)
    return committing_db


@pytest.fixture
def web(granted: CommittingDatabase) -> Iterator[psycopg.Connection]:
    with psycopg.connect(granted.web.url(), autocommit=True) as connected:
        yield connected


@pytest.fixture
def as_web(granted: CommittingDatabase) -> Iterator[None]:
    """Let Django itself work as the web role."""
    settings = connections.settings["default"]
    owner = settings["USER"]
    connections.close_all()
    settings["USER"] = WEB
    yield
    connections.close_all()
    settings["USER"] = owner


def column(connected: psycopg.Connection, question: str) -> list[str]:
    return [str(row[0]) for row in connected.execute(question.encode())]


def denied(connected: psycopg.Connection, statement: str) -> bool:
    """Whether the statement is refused for want of a right; any other refusal is an error of the test."""
    try:
        connected.execute(statement.encode())
    except errors.InsufficientPrivilege:
        return True
    return False


def privileges(connected: psycopg.Connection, table: str) -> set[str]:
    """What the role holds on a table: every sort of right there is, asked one by one."""
    sorts = ("SELECT", "INSERT", "UPDATE", "DELETE", "TRUNCATE", "REFERENCES", "TRIGGER")
    rows = connected.execute(
        "SELECT sort FROM unnest(%s::text[]) AS sort WHERE has_table_privilege(%s, sort)", [list(sorts), table]
    )
    return {str(row[0]) for row in rows}


def test_kept_tables__neither_changed_nor_emptied_nor_freed_of_their_triggers(web: psycopg.Connection) -> None:
    tables = column(web, APPEND_ONLY)
    assert len(tables) >= 23
    first = "SELECT attname FROM pg_attribute WHERE attrelid = '{}'::regclass AND attnum = 1"
    allowed = [
        statement
        for table in tables
        for statement in (
            f"UPDATE {table} SET {column(web, first.format(table))[0]} = DEFAULT",  # noqa: S608 - names of the catalogue
            f"DELETE FROM {table}",  # noqa: S608 - as above
            f"TRUNCATE {table}",
            f"ALTER TABLE {table} DISABLE TRIGGER append_only",
            f"DROP TRIGGER append_only ON {table}",
            f"DROP TABLE {table}",
            f"CREATE TRIGGER mine BEFORE INSERT ON {table} FOR EACH ROW EXECUTE FUNCTION refuse_change()",
        )
        if not denied(web, statement)
    ]

    assert allowed == []


UNDOES_OR_WIDENS = (
    "SET session_replication_role = replica",
    "CREATE TABLE mine (word text)",
    "CREATE TEMPORARY TABLE mine (word text)",
    "CREATE SCHEMA mine",
    "CREATE FUNCTION mine() RETURNS int LANGUAGE sql AS 'SELECT 1'",
    "CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN OLD; END'",
    "DROP FUNCTION refuse_change() CASCADE",
    "SELECT purge_due_history(current_date, NULL, 1)",
    f"SELECT {PURGE_CONTENT}",
    "SELECT purge_undated(1)",
    "SELECT purge_set_dates(ARRAY[gen_random_uuid()], ARRAY['load'], ARRAY[current_date])",
    "INSERT INTO fleet_deletion SELECT * FROM fleet_deletion",
    "DELETE FROM fleet_historycontent",
    "UPDATE fleet_historycontent SET retained_until = NULL",
    "DELETE FROM fleet_legalhold",
    "UPDATE fleet_legalhold SET reason = 'milder'",
    "SELECT keep_append_only('fleet_site')",
    "INSERT INTO django_migrations (app, name, applied) VALUES ('fleet', '0003', now())",
    "DELETE FROM django_migrations",
    "UPDATE defects_hold SET reason = 'milder'",
    "UPDATE defects_hold SET placed_at = now()",
    "ALTER TABLE fleet_site ADD COLUMN mine text",
    "SELECT setval('defects_hold_number', 1)",
)


def test_what_undoes_or_widens__denied(web: psycopg.Connection) -> None:
    assert [statement for statement in UNDOES_OR_WIDENS if not denied(web, statement)] == []


def test_rights_on_every_table__exactly_those_and_no_other(web: psycopg.Connection) -> None:
    kept = set(column(web, APPEND_ONLY))
    found = {table: privileges(web, table) for table in column(web, ALL)}

    assert found == {
        table: {"SELECT"}
        if table in {"django_migrations", "fleet_deletion", "fleet_restore"}
        else {"SELECT", "INSERT"}
        if table in kept
        else {"SELECT", "INSERT", "UPDATE", "DELETE"}
        for table in found
    }
    assert len(found) > len(kept) > 20
    assert "django_migrations" in found


def test_hold__only_its_lift_can_be_set(granted: CommittingDatabase, web: psycopg.Connection) -> None:
    with transaction.atomic():
        any_row("defects_hold")
    may = column(
        web,
        "SELECT attname FROM pg_attribute WHERE attrelid = 'defects_hold'::regclass AND attnum > 0"
        " AND has_column_privilege('defects_hold', attname, 'UPDATE') ORDER BY attname",
    )

    assert set(may) == set(SET_ONCE["defects_hold"])
    assert web.execute("SELECT id FROM defects_hold FOR NO KEY UPDATE").rowcount == 1
    lifted = web.execute("UPDATE defects_hold SET lifted_at = now(), lift_reason = 'repaired and measured'")
    assert lifted.rowcount == 1
    with pytest.raises(errors.RestrictViolation):
        web.execute("UPDATE defects_hold SET lift_reason = 'otherwise'")


def test_ordinary_work__done_as_the_web_role(as_web: None, tmp_path: Path) -> None:
    make_carrier()
    hob = make_recipient(roles=(Role.FOREMAN,))
    unit = make_bare_unit()
    write_entries(unit, 3)
    (notification,) = owe(hold_draft(hob, unit=unit))
    acknowledge_notification(notification=notification.pk, actor=hob, now=NOON)
    escalate_notifications(now=NOON)
    outbox = Outbox()

    assert deliver_pending(clock=lambda: NOON, senders=Senders({Channel.MAIL: outbox})).sent == 1
    assert HistoryEntry.objects.filter(unit=unit).count() == 3
    assert write_history_digest(directory=tmp_path, now=NOON) is not None
    assert list(verify_history(digests=tmp_path)) == []
    token = DeviceTokenFactory.create(person=hob, token_hash=b"x" * 32, renewed_on=NOON)
    token.delete()
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_user, nextval('defects_hold_number')")
        assert cursor.fetchone()[0] == WEB


def test_granted_again_after_more_was_given__taken_away(granted: CommittingDatabase, web: psycopg.Connection) -> None:
    with connection.cursor() as cursor:
        for statement in (
            "GRANT ALL ON fleet_historyentry, django_migrations TO {}",
            "GRANT UPDATE (purpose) ON fleet_signature TO {}",
            "GRANT EXECUTE ON FUNCTION purge_history_content(text, uuid[], date, uuid, text, text) TO {}",
            "GRANT CREATE ON SCHEMA public TO {}",
            "GRANT ALL ON ALL SEQUENCES IN SCHEMA public TO {}",
        ):
            cursor.execute(sql.SQL(statement).format(sql.Identifier(WEB)))
    assert not denied(web, "UPDATE fleet_signature SET purpose = purpose WHERE false")
    assert not denied(web, "SELECT setval('defects_hold_number', 1)")
    assert not denied(web, f"SELECT {PURGE_CONTENT}")

    call_command("grant_web_role", role=WEB, verbosity=0)

    assert privileges(web, "fleet_historyentry") == {"SELECT", "INSERT"}
    assert denied(web, "UPDATE fleet_signature SET purpose = 'x'")
    assert denied(web, f"SELECT {PURGE_CONTENT}")
    assert denied(web, "CREATE TABLE mine (word text)")
    assert denied(web, "SELECT setval('defects_hold_number', 1)")


def test_table_kept_since__found_by_its_trigger(granted: CommittingDatabase, web: psycopg.Connection) -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE fleet_newfact (id uuid PRIMARY KEY); SELECT keep_append_only('fleet_newfact')")
    assert privileges(web, "fleet_newfact") == set()

    call_command("grant_web_role", role=WEB, verbosity=0)

    assert privileges(web, "fleet_newfact") == {"SELECT", "INSERT"}


def test_role_that_purges__calls_the_functions_and_reads_no_table(granted: CommittingDatabase) -> None:
    with psycopg.connect(granted.purge.url(), autocommit=True) as purge:
        rights = [privileges(purge, table) for table in column(purge, ALL)]
        functions = "SELECT proname FROM pg_proc WHERE proname LIKE 'purge%' AND has_function_privilege(oid, 'EXECUTE')"
        callable_ = set(column(purge, functions))

        assert not denied(purge, f"SELECT {PURGE_CONTENT}")
        assert denied(purge, "DELETE FROM fleet_historycontent")

    assert len(rights) > 20
    assert set().union(*rights) == set()
    assert callable_ >= {"purge_due_history", "purge_history_content", "purge_undated", "purge_set_dates"}


def test_unknown_role__refused(committing_db: CommittingDatabase) -> None:
    with pytest.raises(CommandError, match="there is no role 'nobody_at_all'"):
        call_command("grant_web_role", role="nobody_at_all")


def test_owner_of_the_tables__refused_and_nothing_taken_from_it(committing_db: CommittingDatabase) -> None:
    with pytest.raises(CommandError, match="is a superuser or owns tables"):
        call_command("grant_web_role", role=committing_db.owner.user)

    with pytest.raises(CommandError, match="is a superuser or owns tables"):
        call_command("grant_purge_role", role=committing_db.owner.user)

    make_recipient()


def test_command__says_how_many(committing_db: CommittingDatabase) -> None:
    output = io.StringIO()

    call_command("grant_web_role", role=WEB, stdout=output)

    assert output.getvalue().startswith(f"{WEB} may work with ")


@pytest.mark.parametrize("arguments", [("--dry-run",), ()])
def test_purge_as_the_web_role__is_refused_in_a_sentence_that_says_where(
    as_web: None, arguments: tuple[str, ...]
) -> None:
    with pytest.raises(CommandError, match=r"reefer_web may not delete, nor list .* run this where the worker runs"):
        call_command("purge_records", *arguments, stdout=io.StringIO())
