"""Third-party units: added once, by whoever meets them first."""

import datetime as dt
from functools import partial

import pytest

from common.errors import Invalid
from fleet.enums import Role, UnitKind
from fleet.models import Person, Unit
from fleet.services.units.third_party_units import add_third_party_unit
from tests.factories.fleet import NOON, TODAY, history_of, make_person, make_unit
from tests.support.at_once import at_once
from tests.support.committing import CommittingDatabase
from tests.support.refusals import refused


def add(driver: Person, number: str = "QX-9003", owner: str = "Gravelspoon Foods", **more: object) -> Unit:
    arguments = {"kind": UnitKind.TRAILER, "facts": None, **more}
    return add_third_party_unit(
        number=number,
        owner=owner,
        actor=driver,
        now=NOON,
        in_control_since=dt.date(2026, 3, 6),
        **arguments,  # type: ignore[arg-type]
    )


@pytest.fixture
def driver(db: None) -> Person:
    return make_person("Ada Brisk", Role.DRIVER)


def test_unit__is_added_with_its_owner_and_since_when(driver: Person) -> None:
    unit = add(driver, facts={"plate": "7 GRAVELSPOON", "plate_state": "IL"})
    assert (unit.owner, unit.plate, unit.in_control_since, unit.ours) == (
        "Gravelspoon Foods",
        "7 GRAVELSPOON",
        TODAY,
        False,
    )
    assert unit.trailer is not None
    assert history_of(unit) == ["unit_of_others_added"]


def test_unit_known_already__is_returned_as_it_is(driver: Person) -> None:
    first = add(driver)
    assert add(driver, "qx-9003", "GRAVELSPOON FOODS", facts={"plate": "other"}).pk == first.pk
    assert Unit.objects.count() == 1
    assert history_of(first) == ["unit_of_others_added"]


def test_our_own_unit_of_the_same_number__is_another_one(driver: Person) -> None:
    ours = make_unit(UnitKind.TRAILER, "QX-9003")
    assert add(driver).pk != ours.pk


def test_number_known_as_another_kind__is_refused(driver: Person) -> None:
    add(driver)
    with refused(Invalid, "unit_kind_differs", ("/kind", "unit_kind_differs")):
        add(driver, kind=UnitKind.TRACTOR)


@pytest.mark.parametrize(
    ("number", "owner", "code", "problem"),
    [
        ("QX-9003", "", "owner_missing", ("/owner", "owner_missing")),
        ("QX 9003", "Gravelspoon", "unit_refused", ("/number", "unit_number_malformed")),
        ("QX-9003", "a@b", "unit_refused", ("/owner", "owner_malformed")),
    ],
)
def test_unit_that_cannot_be_named__is_refused(
    driver: Person, number: str, owner: str, code: str, problem: tuple[str, str]
) -> None:
    with refused(Invalid, code, problem):
        add(driver, number, owner)
    assert not Unit.objects.exists()


def test_two_phones_at_once__add_one_unit(committing_db: CommittingDatabase) -> None:
    driver = make_person("Ada Brisk", Role.DRIVER)
    for number in range(5):
        assert len({unit.pk for unit in at_once(4, partial(add, driver, f"QX-{number}"))}) == 1
    assert Unit.objects.count() == 5
