"""The yard in which the tests of a defect's life take place, in a database that rolls back or in one that commits."""

import pytest

from tests.factories.lifecycle import Yard, make_yard
from tests.support.committing import CommittingDatabase


@pytest.fixture
def yard(db: None) -> Yard:
    return make_yard()


@pytest.fixture
def committed_yard(committing_db: CommittingDatabase) -> Yard:
    return make_yard()
