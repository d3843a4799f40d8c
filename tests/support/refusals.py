"""Looking at what a service refused: its code, and pointer and code of every single problem."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from common.errors import DomainError


@contextmanager
def refused(kind: type[DomainError], code: str, *problems: tuple[str, str]) -> Iterator[None]:
    """Pass when the block raises exactly this; a code alone stands for a refusal without problems."""
    with pytest.raises(kind) as caught:
        yield
    assert type(caught.value) is kind
    assert caught.value.code == code
    assert [(problem.pointer, problem.code) for problem in caught.value.problems] == list(problems)
