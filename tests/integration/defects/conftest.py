"""The yard in which the tests of a defect's life take place, in a database that commits."""

import pytest

from tests.support.committing import CommittingDatabase
from tests.support.yard import Yard, make_yard


@pytest.fixture
def committed_yard(committing_db: CommittingDatabase) -> Yard:
    return make_yard()
