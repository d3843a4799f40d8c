"""The suite's own ground: clones of the test database for tests that commit."""

import threading

import psycopg
import pytest
from django.db import connection

from tests.support.committing import CommittingDatabase


def _databases(database: CommittingDatabase) -> set[str]:
    with psycopg.connect(database.owner.with_name("postgres").url()) as c:
        return {str(row[0]) for row in c.execute("SELECT datname FROM pg_database")}


def test_row_committed__seen_by_another_thread_and_another_connection(committing_db: CommittingDatabase) -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE seen (word text)")
        cursor.execute("INSERT INTO seen VALUES ('here')")

    found: list[str] = []

    def look() -> None:
        with connection.cursor() as cursor:
            cursor.execute("SELECT word FROM seen")
            found.extend(row[0] for row in cursor.fetchall())
        connection.close()

    thread = threading.Thread(target=look)
    thread.start()
    thread.join()
    with psycopg.connect(committing_db.owner.url()) as other:
        rows = other.execute("SELECT word FROM seen").fetchall()

    assert found == ["here"]
    assert rows == [("here",)]


@pytest.mark.parametrize("turn", ["first", "second"])
def test_two_tests_in_turn__neither_sees_the_other(committing_db: CommittingDatabase, turn: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT to_regclass('left_behind')")
        assert cursor.fetchone() == (None,)
        cursor.execute("CREATE TABLE left_behind AS SELECT 1")


def test_clone__carries_the_migrated_tables_and_is_the_only_one(committing_db: CommittingDatabase) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM django_migrations WHERE app = 'fleet'")
        (count,) = cursor.fetchone()
        cursor.execute("SELECT current_database()")
        (name,) = cursor.fetchone()

    assert count > 0
    assert name == committing_db.owner.name
    migrated = name.rpartition("_clone_")[0]
    assert {other for other in _databases(committing_db) if other.startswith(f"{migrated}_clone_")} == {name}


@pytest.mark.django_db
def test_ordinary_database_test__works_on_the_migrated_one() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_database()")
        (name,) = cursor.fetchone()

    assert name.startswith("test_")
    assert "_clone_" not in name
