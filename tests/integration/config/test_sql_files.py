"""The files of `*/sql` hold each function and trigger of the database as it is now."""

import pytest
from django.db import connection

from tests.support.sql_files import in_database, in_files


@pytest.mark.django_db
def test_functions_and_triggers__in_the_files_as_in_the_migrated_database() -> None:
    assert len(in_files()) > 10
    assert in_files() == in_database(), "run `make sql`"


@pytest.mark.django_db
def test_function_or_trigger_that_changed__differs_from_its_file() -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN END'")
        cursor.execute("DROP TRIGGER append_only ON defects_hold")
    held, now = in_files(), in_database()
    assert {name for name in now if now[name] != held[name]} == {"refuse_change", "refuse_hold_change"}
