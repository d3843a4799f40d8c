"""The facts that answer dispatch: the statement put into words once gives what the query built for the trip gives."""

import datetime as dt

import pytest

from defects.selectors.clearance import rows
from defects.selectors.clearance.fact_row import FactRow
from defects.selectors.clearance.rows import Asked, fact_rows
from fleet.models import Person, Unit
from tests.support.ninefold import person

NAMED = {"nobody": "", "by key": "key", "by name": "IRIS", "a stranger": "nobody-of-that-name"}


@pytest.mark.parametrize("load", ["", "L-1"])
@pytest.mark.parametrize("driver", NAMED.values(), ids=NAMED)
def test_any_trip__the_rows_of_its_own_query(ninefold: dt.datetime, driver: str, load: str) -> None:
    iris: Person = person("iris")
    asked = Asked(str(iris.pk) if driver == "key" else driver, load)
    units = list(Unit.objects.order_by("pk").values_list("pk", flat=True))

    found = fact_rows(units, as_of=ninefold, asked=asked)

    assert sorted(map(str, found)) == sorted(str(FactRow(*row)) for row in rows._query(units, ninefold, asked))
    assert {row.kind for row in found} >= {"carrier", "details", "document", "coupling", "mounting"}
    assert [row.unit for row in found if row.kind == "driver"] == ([iris.pk] if driver in {"key", "IRIS"} else [])
