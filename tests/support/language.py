"""No test finds the language that the answer to another's request was worded in."""

from collections.abc import Iterator

import pytest
from django.utils import translation


@pytest.fixture(autouse=True)
def the_services_own_language() -> Iterator[None]:
    """Forget after each test which language is in force; a request leaves its person's behind until the next one."""
    yield
    translation.deactivate()
