"""Refusals as they are shown; the driver's copy only to whoever may read it."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Annotated, Self
from uuid import UUID

from pydantic import Field

from common.api.answers import Answer
from common.api.values import Word
from defects.enums import RefusalState
from defects.models import Refusal
from defects.selectors.refusals import may_see_copy, refusal_state
from defects.transitions import REFUSALS
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitShort
from fleet.models import Person


class SecondLookAnswer(Answer):
    """The second look."""

    person: PersonShort
    finding: str
    looked_at: datetime


class RefusalAnswer(Answer):
    """A refusal. `copy` is the driver's own, proven by its SHA-256; empty for whoever may not read it."""

    id: UUID
    unit: UnitShort
    state: Annotated[str, Word(RefusalState)]
    person: PersonShort
    reason: str
    defects: list[int]
    refused_at: datetime
    received_at: datetime
    drivers_copy: str = Field(alias="copy")
    copy_sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    second_look: SecondLookAnswer | None
    recipients: list[str] = Field(description="who was told of the refusal, by name")
    allowed_actions: list[str]

    @classmethod
    def for_reader(cls, refusal: Refusal, reader: Person, recipients: Mapping[UUID, Sequence[str]]) -> Self:
        """Return a refusal as a person may read it."""
        state = refusal_state(refusal)
        return cls(
            id=refusal.pk,
            unit=UnitShort.of(refusal.unit),
            state=state,
            person=PersonShort.of(refusal.person),
            reason=refusal.reason,
            defects=sorted(defect.number for defect in refusal.defects.all()),
            refused_at=refusal.refused_at,
            received_at=refusal.received_at,
            copy=refusal.copy if may_see_copy(refusal, reader) else "",
            copy_sha256=refusal.copy_hash,
            second_look=None if state == RefusalState.WAITING else SecondLookAnswer.of(refusal.second_look),
            recipients=list(recipients.get(refusal.pk, ())),
            allowed_actions=REFUSALS.allowed_actions(state, reader.current_roles),
        )
