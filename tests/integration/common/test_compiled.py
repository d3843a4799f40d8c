"""A query compiled once gives what the query itself gives, and is refused where that could not be so."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.db.models import QuerySet
from django.db.models.functions import Upper
from django.test.utils import CaptureQueriesContext

from common.compiled import CannotCompileError, Values, compile_objects, compile_query
from fleet.models import DeviceToken, Person
from tests.factories.fleet import NOON, make_person, make_token

EARLY, LATE = date(9999, 1, 1), date(9999, 1, 2)
FIRST, SECOND = {"name": "first", "day": EARLY}, {"name": "second", "day": LATE}


def people(values: Values) -> QuerySet[Any, Any]:
    found = Person.objects.filter(name=values["name"], left_on__lte=values["day"], language="en")
    return found.order_by("pk").values_list("name")


def test_other_values__the_rows_that_the_query_finds(db: None) -> None:
    for name in ("Hob", "Cal"):
        make_person(name, left_on=NOON.date())
    compiled = compile_query(people, FIRST, SECOND)

    assert compiled.fetch({"name": "Hob", "day": EARLY}) == [("Hob",)]
    assert compiled.fetch({"name": "Cal", "day": EARLY}) == [("Cal",)]
    assert compiled.fetch({"name": "Cal", "day": date(2000, 1, 1)}) == []


def tokens(values: Values) -> QuerySet[DeviceToken, DeviceToken]:
    found = DeviceToken.objects.filter(digest=values["digest"]).select_related("person")
    return found.annotate(shout=Upper("person__name"))


def test_objects__as_the_query_gives_them_with_what_is_joined_and_annotated(db: None) -> None:
    rows = [make_token(make_person(name))[0] for name in ("Hob", "Cal")]
    compiled = compile_objects(tokens, {"digest": b"1"}, {"digest": b"2"})

    for row in rows:
        with CaptureQueriesContext(connection) as captured:
            (found,) = compiled.fetch({"digest": row.digest})
            told = (found.person.name, found.person.pk, found.expires_at, bytes(found.digest))
            assert told == (row.person.name, row.person_id, row.expires_at, row.digest)
            assert found.shout == row.person.name.upper()  # type: ignore[attr-defined]  # annotated
        assert len(captured) == 1
        assert found == row
        assert not found._state.adding
    assert compiled.fetch({"digest": b"none"}) == []


def test_value_not_given__key_error(db: None) -> None:
    with pytest.raises(KeyError, match="day"):
        compile_query(people, FIRST, SECOND).fetch({"name": "Hob"})


def test_value_changed_on_its_way__refused(db: None) -> None:
    """Else the stand-in's own day would stay in the words for good."""
    with pytest.raises(CannotCompileError, match="at place"):
        compile_query(lambda given: people({**given, "day": given["day"] + timedelta(days=1)}), FIRST, SECOND)


def test_words_that_depend_on_a_value__refused(db: None) -> None:
    def either(given: Values) -> QuerySet[Any, Any]:
        found = people(given)
        return found if given["name"] == "first" else found.filter(firm="")

    with pytest.raises(CannotCompileError, match="the words"):
        compile_query(either, FIRST, SECOND)


def test_value_that_does_not_occur__refused(db: None) -> None:
    with pytest.raises(CannotCompileError, match="not to be found in it: load"):
        compile_query(people, {**FIRST, "load": "a"}, {**SECOND, "load": "b"})
