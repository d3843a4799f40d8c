"""A query set compiled once gives what the query set itself gives."""

from datetime import date

import pytest
from django.db import ProgrammingError, connection
from django.db.models import BinaryField, DateField, TextField
from django.db.models.functions import Upper
from django.test.utils import CaptureQueriesContext

from common.compiled import FEW, KEYS, TEXTS, Compiled, CompiledObjects, KeyIn, Parameter, TextIn, apart
from fleet.models import DeviceToken, Person
from tests.factories.fleet import NOON, make_person, make_token

EARLY = date(9999, 1, 1)


def people() -> Compiled:
    found = Person.objects.filter(
        name=Parameter("name", TextField()), left_on__lte=Parameter("day", DateField()), language="en"
    )
    return Compiled(found.order_by("pk").values_list("name"))


def test_other_values__the_rows_that_the_query_finds(db: None) -> None:
    for name in ("Hob", "Cal"):
        make_person(name, left_on=NOON.date())
    compiled = people()

    assert compiled.rows(name="Hob", day=EARLY) == [("Hob",)]
    assert compiled.rows(name="Cal", day=EARLY) == [("Cal",)]
    assert compiled.rows(name="Cal", day=date(2000, 1, 1)) == []


def test_many_values_in_one__the_rows_that_have_one_of_them(db: None) -> None:
    hob, cal, _ = (make_person(name) for name in ("Hob", "Cal", "Iris"))
    by_key = KeyIn("pk", Parameter("keys", KEYS))
    compiled = Compiled(Person.objects.filter(by_key | TextIn("name", Parameter("names", TEXTS))).values_list("name"))

    assert set(compiled.rows(keys=[hob.pk], names=["Cal"])) == {("Hob",), ("Cal",)}
    assert compiled.rows(keys=[], names=[]) == []
    assert compiled.rows(keys=[], names=["Cal", *map(str, range(FEW))]) == [("Cal",)]
    assert list(Person.objects.filter(KeyIn("pk", [cal.pk]))) == [cal]


def test_prepared__planned_for_as_many_values_as_there_are(db: None) -> None:
    for at in range(FEW):
        make_person(f"person {at}")
    keys = list(Person.objects.order_by("pk").values_list("pk", flat=True)[:3])
    found = Compiled(Person.objects.filter(KeyIn("pk", Parameter("keys", KEYS))).values("pk"))
    text, values = apart(found.sql, {"keys": keys})
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE fleet_person")
        cursor.execute("SET LOCAL plan_cache_mode = force_generic_plan")
        cursor.execute(f"EXPLAIN {text}", values)
        assert "rows=3 " in cursor.fetchall()[0][0]


def test_objects__as_the_query_gives_them_with_what_is_joined_and_annotated(db: None) -> None:
    rows = [make_token(make_person(name))[0] for name in ("Hob", "Cal")]
    tokens = DeviceToken.objects.filter(token_hash=Parameter("token_hash", BinaryField())).annotate(
        shout=Upper("person__name")
    )
    compiled = CompiledObjects(tokens, "person", also=("shout",))

    for row in rows:
        with CaptureQueriesContext(connection) as captured:
            (found,) = compiled.fetch(token_hash=row.token_hash)
            told = (found.person.name, found.person.pk, found.expires_at, bytes(found.token_hash))
            assert told == (row.person.name, row.person_id, row.expires_at, row.token_hash)
            assert found.shout == row.person.name.upper()  # type: ignore[attr-defined]  # annotated
        assert len(captured) == 1
        assert found == row
        assert not found._state.adding
    assert compiled.fetch(token_hash=b"none") == []


def test_value_not_given__refused_by_the_driver(db: None) -> None:
    with pytest.raises(ProgrammingError, match="day"):
        people().rows(name="Hob")
