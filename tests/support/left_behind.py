"""No test finds what another's request left behind: the language of its answer, and its name as the present cause."""

from collections.abc import Iterator

import pytest
from django.utils import translation

from common.causes import NOTHING, begin_cause


@pytest.fixture(autouse=True)
def nothing_left_by_a_request() -> Iterator[None]:
    """Forget both after each test; a request leaves them until the next one."""
    yield
    translation.deactivate()
    begin_cause(NOTHING)
