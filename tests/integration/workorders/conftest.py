"""Who is there in every test of the shop: a carrier, a driver, a foreman, a mechanic qualified for brakes."""

import pytest

from fleet.enums import Scope
from fleet.models import Person
from tests.factories.fleet import make_carrier, make_recipient
from tests.factories.workorders import make_foreman, make_mechanic


@pytest.fixture
def carrier(db: None) -> None:
    make_carrier()


@pytest.fixture
def driver(db: None) -> Person:
    return make_recipient("Iris Quade")


@pytest.fixture
def foreman(db: None) -> Person:
    return make_foreman()


@pytest.fixture
def brake_mechanic(db: None) -> Person:
    return make_mechanic("Greta Lind", Scope.BRAKES_ADJUST, Scope.BRAKES_REPAIR)
