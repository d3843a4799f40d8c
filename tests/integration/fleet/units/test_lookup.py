"""Finding units by what people call them."""

import pytest
from pytest_django import DjangoAssertNumQueries

from fleet.models import Unit
from fleet.selectors.units.lookup import resolve_unit, resolve_units
from tests.factories.fleet import TODAY, make_unit

pytestmark = pytest.mark.django_db


def test_references_of_each_kind__are_found_in_one_statement(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    ours, others = make_unit(number="NL-11"), make_unit(number="QX-9003", owner="Gravelspoon Foods")
    refs = ["nl-11", "NL-11", "qx-9003@GRAVELSPOON foods", str(ours.pk), str(others.pk).upper()]
    with django_assert_num_queries(1):
        found = resolve_units(refs)
    assert {ref: unit.pk for ref, unit in found.items()} == {
        "nl-11": ours.pk,
        "NL-11": ours.pk,
        "qx-9003@GRAVELSPOON foods": others.pk,
        str(ours.pk): ours.pk,
        str(others.pk).upper(): others.pk,
    }


def test_bare_number__means_our_own_unit_alone() -> None:
    make_unit(number="QX-9003", owner="Gravelspoon Foods")
    assert resolve_units(["QX-9003"]) == {}


def test_same_number_of_two_owners__are_told_apart() -> None:
    ours, theirs = make_unit(number="7"), make_unit(number="7", owner="Gravelspoon Foods")
    found = resolve_units(["7", "7@Gravelspoon Foods", "7@Nobody"])
    assert {ref: unit.pk for ref, unit in found.items()} == {"7": ours.pk, "7@Gravelspoon Foods": theirs.pk}


def test_retired_unit__is_found_by_its_key_alone() -> None:
    unit = make_unit(number="NL-11")
    Unit.objects.filter(pk=unit.pk).update(retired_on=TODAY)
    assert set(resolve_units(["NL-11", str(unit.pk)])) == {str(unit.pk)}


@pytest.mark.parametrize("refs", [[], ["not a unit", "a@b@c", ""]])
def test_what_could_name_no_unit__asks_nothing(
    refs: list[str], django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_num_queries(0):
        assert resolve_units(refs) == {}


def test_units_looked_through__may_be_narrowed() -> None:
    make_unit(number="NL-11")
    assert resolve_unit("NL-11", among=Unit.objects.filter(kind="trailer")) is None
    assert resolve_unit("NL-11", among=Unit.objects.filter(kind="tractor")) is not None
