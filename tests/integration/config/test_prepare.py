"""`config.prepare` beside a release that serves: a table in use delays a step and stops nobody."""

import pytest
from django.core.management import CommandError
from django.db import OperationalError
from psycopg.errors import AdminShutdown, DeadlockDetected, LockNotAvailable

from config import prepare


@pytest.fixture
def migrate(monkeypatch: pytest.MonkeyPatch) -> list[type[Exception] | None]:
    """What each try of `migrate` meets, in order; None for nothing."""
    meets: list[type[Exception] | None] = []

    def call_command(*_: object, **__: object) -> None:
        met = meets.pop(0)
        if met is not None:
            raise OperationalError("as Django words it") from met()

    monkeypatch.setattr(prepare, "call_command", call_command)
    monkeypatch.setattr(prepare, "PAUSE_S", 0.0)
    return meets


def test_table_in_use__tried_again_until_it_is_free(
    migrate: list[type[Exception] | None], capsys: pytest.CaptureFixture[str]
) -> None:
    migrate += [LockNotAvailable, DeadlockDetected, None]
    prepare.migrate(0)
    assert migrate == []
    assert capsys.readouterr().err.count("A table is in use") == 2


def test_table_always_in_use__given_up_with_a_sentence(migrate: list[type[Exception] | None]) -> None:
    migrate += [LockNotAvailable] * prepare.TRIES
    with pytest.raises(CommandError, match="stays done and what serves goes on"):
        prepare.migrate(0)
    assert migrate == []


def test_other_faults__are_not_tried_again(migrate: list[type[Exception] | None]) -> None:
    migrate += [AdminShutdown, None]
    with pytest.raises(OperationalError):
        prepare.migrate(0)
    assert migrate == [None]
