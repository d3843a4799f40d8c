"""Which refusal a broken database constraint stands for, where errors are answered."""

from functools import cache

from common.composition import contributed, indexed
from common.messages import Sentences


def constraint_code(name: str) -> str | None:
    """Return the code of a constraint, None for one that no app names."""
    return _codes(contributed(Sentences)).get(name)


@cache
def _codes(apps: tuple[Sentences, ...]) -> dict[str, str]:
    return indexed(pair for app in apps for pair in app.constraints.items())
