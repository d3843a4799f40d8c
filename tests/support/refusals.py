"""Looking at what a service refused: its code and facts, and pointer and code of every single problem."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from common.errors import DomainError
from tests.support.contents import contents


@contextmanager
def refused(kind: type[DomainError], code: str, *problems: tuple[str, str], **facts: object) -> Iterator[None]:
    """Pass when the block raises exactly this; a code alone for one that names no other problem."""
    with pytest.raises(kind) as caught:
        yield
    assert type(caught.value) is kind
    assert caught.value.code == code
    found = [(problem.pointer, problem.code) for problem in caught.value.problems]
    assert found == list(problems) if problems else {name for _, name in found} <= {code}
    assert {name: caught.value.facts[name] for name in facts} == facts


def refuses(
    kind: type[DomainError], code: str, service: Callable[..., object], *args: object, **given: object
) -> DomainError:
    """What the service refuses, after which the whole database is as it was."""
    before = contents()
    with pytest.raises(kind) as caught:
        service(*args, **given)
    assert caught.value.code == code
    assert contents() == before
    return caught.value
