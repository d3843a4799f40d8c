"""The yard in which the tests of a defect's life take place, in a database that commits."""

import pytest

from tests.factories.lifecycle import Yard, make_yard
from tests.support.committing import CommittingDatabase


@pytest.fixture
def committed_yard(committing_db: CommittingDatabase) -> Yard:
    return make_yard()
