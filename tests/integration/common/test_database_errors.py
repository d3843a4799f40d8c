"""What PostgreSQL itself reports becomes the right refusal: too slow, deadlock, lost connection, row in the way."""

import threading
from collections.abc import Callable

import psycopg
import pytest
from django.db import (
    IntegrityError,
    NotSupportedError,
    OperationalError,
    ProgrammingError,
    connection,
    connections,
    transaction,
)
from django.db.models import Count, TextField, Value
from django.db.models.functions import Concat

from common.api.database_errors import integrity_refusal, lost_database_refusal
from config.settings.databases import PREPARED_AFTER
from fleet.models import Person
from tests.support.committing import CommittingDatabase


def refusal_code(error: BaseException) -> str | None:
    refusal = lost_database_refusal(error)
    return None if refusal is None else refusal.code


@pytest.mark.django_db
def test_statement_that_takes_too_long__busy() -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET LOCAL statement_timeout = 20")
        with pytest.raises(OperationalError) as caught, transaction.atomic():
            cursor.execute("SELECT pg_sleep(5)")
    assert refusal_code(caught.value) == "database_busy"


@pytest.mark.django_db
def test_row_taken_twice__the_constraint_s_code_or_a_general_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("common.api.database_errors.constraint_code", {}.get)
    Person.objects.create(name="a", username="ana")
    with pytest.raises(IntegrityError) as caught, transaction.atomic():
        Person.objects.create(name="b", username="ana")
    assert integrity_refusal(caught.value).code == "row_in_the_way"
    name = caught.value.__cause__.diag.constraint_name  # type: ignore[union-attr]  # what psycopg says of it
    monkeypatch.setattr("common.api.database_errors.constraint_code", {name: "username_taken"}.get)
    assert integrity_refusal(caught.value).code == "username_taken"


@pytest.mark.django_db
def test_null_where_none_may_be__a_mistake_in_the_code_and_to_be_sent_again() -> None:
    with pytest.raises(IntegrityError) as caught, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("INSERT INTO fleet_person (id) VALUES (gen_random_uuid())")
    assert integrity_refusal(caught.value).code == "not_stored"


@pytest.mark.django_db
@pytest.mark.parametrize("asked", ["SELECT of_tomorrow FROM fleet_person", "SELECT 1 FROM fleet_of_tomorrow"])
def test_what_only_a_newer_release_brings__to_be_sent_again_once_the_database_has_it(asked: str) -> None:
    with pytest.raises(ProgrammingError) as caught, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(asked)
    assert refusal_code(caught.value) == "service_unreachable"


def test_column_changed_under_a_prepared_statement__sent_again_on_a_new_connection(
    committing_db: CommittingDatabase,
) -> None:
    def read() -> list[tuple[object, ...]]:
        with connection.cursor() as cursor:
            cursor.execute("SELECT number FROM of_a_migration WHERE number IS NOT NULL")
            return list(cursor.fetchall())

    with psycopg.connect(committing_db.owner.url(), autocommit=True) as migration:
        migration.execute("CREATE TABLE of_a_migration AS SELECT 1 AS number")
        for _ in range(PREPARED_AFTER + 2):
            assert read() == [(1,)]
        migration.execute("ALTER TABLE of_a_migration ALTER number TYPE text")
    with pytest.raises(NotSupportedError) as caught:
        read()
    assert refusal_code(caught.value) == "database_busy"
    assert read() == [("1",)]


@pytest.mark.django_db
def test_values_in_what_is_grouped_by__one_row_for_each_group() -> None:
    """Each value is a parameter of its own to the server, which must see that both expressions are the same."""
    for name in ("Hob", "Cal", "Cal"):
        Person.objects.create(name=name)
    named = Concat(Value("driver "), "name", output_field=TextField())
    found = Person.objects.annotate(named=named).values("named").annotate(people=Count("pk")).order_by("named")

    assert list(found.values_list("named", "people")) == [("driver Cal", 2), ("driver Hob", 1)]


@pytest.mark.django_db
def test_more_values_than_a_statement_may_have__sent_in_several() -> None:
    """The protocol counts the parameters of one statement in 16 bits."""
    count = 65_535 // len(Person._meta.concrete_fields) + 1

    Person.objects.bulk_create(Person(name=f"Driver {number}") for number in range(count))

    assert Person.objects.count() == count


@pytest.mark.django_db
def test_statement_that_is_no_sql__a_mistake_in_the_code() -> None:
    with pytest.raises(ProgrammingError) as caught, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELEC 1")
    assert refusal_code(caught.value) is None


def in_thread(work: Callable[[], None]) -> threading.Thread:
    def run() -> None:
        try:
            work()
        finally:
            connections.close_all()

    thread = threading.Thread(target=run)
    thread.start()
    return thread


@pytest.mark.django_db
def test_connection_that_was_ended__unavailable() -> None:
    errors: list[BaseException] = []

    def be_ended() -> None:
        try:
            with connection.cursor() as cursor:
                cursor.execute("SELECT pg_terminate_backend(pg_backend_pid())")
        except OperationalError as error:
            errors.append(error)
        try:
            with connection.cursor() as cursor:
                cursor.execute("SELECT 1")
        except Exception as error:  # noqa: BLE001 - which class it is, is the question
            errors.append(error)

    in_thread(be_ended).join(timeout=10)
    assert [refusal_code(error) for error in errors] == ["database_unavailable", "database_unavailable"]


@pytest.mark.django_db
def test_connection_that_the_server_ended_since__is_not_usable() -> None:
    told: list[bool] = []

    def be_ended() -> None:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_backend_pid()")
            (session,) = cursor.fetchone()
        told.append(connection.is_usable())
        with psycopg.connect(**connection.get_connection_params()) as other:
            other.execute("SELECT pg_terminate_backend(%s, 5000)", [session])
        told.append(connection.is_usable())

    in_thread(be_ended).join(timeout=30)
    assert told == [True, False]


@pytest.mark.django_db
def test_lock_that_another_holds__busy() -> None:
    held, done = threading.Event(), threading.Event()

    def hold() -> None:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(4711)")
            held.set()
            done.wait(timeout=10)

    holder = in_thread(hold)
    assert held.wait(timeout=10)
    try:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SET LOCAL lock_timeout = 20")
            with pytest.raises(OperationalError) as caught, transaction.atomic():
                cursor.execute("SELECT pg_advisory_xact_lock(4711)")
    finally:
        done.set()
        holder.join(timeout=10)
    assert refusal_code(caught.value) == "database_busy"


@pytest.mark.django_db
def test_two_that_wait_for_each_other__one_is_told_to_try_again() -> None:
    both = threading.Barrier(2)
    codes: list[str | None] = []

    def take(first: int, second: int) -> None:
        try:
            with transaction.atomic(), connection.cursor() as cursor:
                cursor.execute("SELECT pg_advisory_xact_lock(%s)", [first])
                both.wait(timeout=10)
                cursor.execute("SELECT pg_advisory_xact_lock(%s)", [second])
        except OperationalError as error:
            codes.append(refusal_code(error))

    threads = [in_thread(lambda: take(1, 2)), in_thread(lambda: take(2, 1))]
    for thread in threads:
        thread.join(timeout=20)
    assert codes == ["database_busy"]
