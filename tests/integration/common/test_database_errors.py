"""What PostgreSQL itself reports becomes the right refusal: too slow, deadlock, lost connection, row in the way."""

import threading
from collections.abc import Callable

import pytest
from django.db import IntegrityError, OperationalError, ProgrammingError, connection, connections, transaction

from common.api.database_errors import integrity_refusal, lost_database_refusal
from fleet.models import Person


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
