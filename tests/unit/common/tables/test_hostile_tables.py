"""Tables made to cost much are refused, or read, within bounds that a process of its own is held to."""

import pytest

from common.errors import DomainError
from tests.support.bounded import bounded
from tests.support.hostile_tables import HOSTILE, LARGEST, LONG, read

MEMORY = 200 * 1024 * 1024
"""Beside what the process has when it is given the file; the import's own work on its rows takes less after that."""
CPU_S = 10


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=[pytest.mark.drill] if name in LONG else []) for name in HOSTILE]
)
def test_hostile_table__is_answered_within_its_bounds(name: str) -> None:
    says, made = HOSTILE[name]
    content = made()
    size = len(content)
    assert size <= LARGEST
    answer = bounded(read, content, memory=MEMORY, cpu_s=CPU_S)
    assert (answer.code if isinstance(answer, DomainError) else answer) == says
