"""Whatever the service writes into a history while a test runs has a sentence, and carries the facts it asks for."""

import sys
from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID

import pytest

from common.messages import facts_named, wording
from fleet.messages.records import PREFIX
from fleet.services.records.unit_of_work import UnitOfWork


@pytest.fixture(scope="session", autouse=True)
def every_entry_has_its_sentence() -> Iterator[None]:
    """UnknownCodeError for an entry without a sentence; the test fails where the entry lacks a fact of its own."""
    record = UnitOfWork.record

    def checked(self: UnitOfWork, unit: UUID, kind: str, *, body: Mapping[str, object], **given: Any) -> None:
        by = str(sys._getframe(1).f_globals["__name__"])
        if not by.startswith("tests."):
            lacking = facts_named(str(wording(f"{PREFIX}_{kind}").template)) - body.keys()
            assert not lacking, f"{by} writes {kind} without {sorted(lacking)}"
        record(self, unit, kind, body=body, **given)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(UnitOfWork, "record", checked)
        yield
