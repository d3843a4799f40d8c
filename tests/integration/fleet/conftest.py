"""Whom many tests of what the carrier owns need: somebody of the compliance desk."""

import pytest

from fleet.enums import Role
from fleet.models import Person
from tests.factories.fleet import make_person


@pytest.fixture
def vera(db: None) -> Person:
    return make_person("Vera Holt", Role.COMPLIANCE)
