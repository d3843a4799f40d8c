"""Units of others: added once, by whoever meets them first."""

import datetime as dt
from functools import partial

import pytest

from common.errors import Invalid
from fleet.enums import Role, UnitKind
from fleet.models import Person, Unit
from fleet.rules.unit_facts import FactProblem
from fleet.services.units_of_others import MetUnit, add_unit_of_others, meet_unit_of_others
from tests.factories.fleet import NOON, TODAY, make_person, make_unit
from tests.factories.workorders import history_of
from tests.support.at_once import at_once
from tests.support.committing import CommittingDatabase
from tests.support.refusals import refused


def add(driver: Person, number: str = "QX-9003", owner: str = "Fjord Foods", **more: object) -> Unit:
    arguments = {"kind": UnitKind.TRAILER, "facts": None, **more}
    return add_unit_of_others(
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
    unit = add(driver, facts={"plate": "7 FJORD", "plate_state": "IL"})
    assert (unit.owner, unit.plate, unit.in_control_since, unit.ours) == ("Fjord Foods", "7 FJORD", TODAY, False)
    assert unit.trailer is not None
    assert history_of(unit) == ["unit_of_others_added"]


def test_unit_known_already__is_returned_as_it_is(driver: Person) -> None:
    first = add(driver)
    assert add(driver, "qx-9003", "FJORD FOODS", facts={"plate": "other"}).pk == first.pk
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
        ("QX 9003", "Fjord", "unit_refused", ("/number", "unit_number_malformed")),
        ("QX-9003", "a@b", "unit_refused", ("/owner", "owner_malformed")),
    ],
)
def test_unit_that_cannot_be_named__is_refused(
    driver: Person, number: str, owner: str, code: str, problem: tuple[str, str]
) -> None:
    with refused(Invalid, code, problem):
        add(driver, number, owner)
    assert not Unit.objects.exists()


class TestMet:
    """Inside a signed walk-around nothing is refused."""

    def meet(self, driver: Person, number: str = "QX-9003", owner: str = "Fjord Foods", **more: object) -> MetUnit:
        arguments = {"kind": UnitKind.TRAILER, "facts": None, **more}
        return meet_unit_of_others(
            number=number,
            owner=owner,
            actor=driver,
            now=NOON,
            in_control_since=TODAY,
            **arguments,  # type: ignore[arg-type]
        )

    def test_sound_unit__is_added_without_a_problem(self, driver: Person) -> None:
        met = self.meet(driver, facts={"plate": "7 FJORD"})
        assert met.unit is not None
        assert (met.unit.plate, met.problems) == ("7 FJORD", ())
        assert self.meet(driver).unit == met.unit

    def test_facts_that_cannot_be__are_left_out_and_told(self, driver: Person) -> None:
        make_unit(UnitKind.TRAILER, vin="1M8GDM9AXKP042788")
        for vin, code in (("1M8GDM9A5KP042788", "vin_check_digit"), ("1M8GDM9AXKP042788", "vin_taken")):
            met = self.meet(driver, f"Q-{code}"[:20], facts={"vin": vin, "plate": "7 FJORD"})
            assert met.problems == (FactProblem("vin", code),)
            assert met.unit is not None
            assert (met.unit.vin, met.unit.plate) == ("", "7 FJORD")

    @pytest.mark.parametrize(
        ("number", "owner", "problem"),
        [
            ("QX 9003", "Fjord", ("number", "unit_number_malformed")),
            ("QX-9003", "", ("owner", "owner_missing")),
            ("QX-9003", "a/b", ("owner", "owner_malformed")),
        ],
    )
    def test_unit_that_cannot_be_named__is_no_unit(
        self, driver: Person, number: str, owner: str, problem: tuple[str, str]
    ) -> None:
        assert self.meet(driver, number, owner) == MetUnit(None, (FactProblem(*problem),))
        assert not Unit.objects.exists()

    def test_unit_known_as_another_kind__is_returned_as_it_is_known(self, driver: Person) -> None:
        known = add(driver)
        met = self.meet(driver, kind=UnitKind.TRACTOR)
        assert (met.unit, met.problems) == (known, (FactProblem("kind", "unit_kind_differs"),))


def test_two_phones_at_once__add_one_unit(committing_db: CommittingDatabase) -> None:
    driver = make_person("Ada Brisk", Role.DRIVER)
    for number in range(5):
        assert len({unit.pk for unit in at_once(4, partial(add, driver, f"QX-{number}"))}) == 1
    assert Unit.objects.count() == 5
