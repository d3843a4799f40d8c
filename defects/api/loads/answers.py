"""Loads as they are shown; temperatures in °F."""

from datetime import datetime
from decimal import Decimal
from typing import Annotated, Self
from uuid import UUID

from django.utils.translation import get_language
from pydantic import Field

from common import messages
from common.api.answers import Answer
from common.api.values import Word
from common.messages import Message
from defects.enums import CoolingMode, TemperatureClass
from defects.models import Load
from defects.selectors.loads.loads import load_state, seal_waits
from defects.transitions import LOADS
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitShort


class LoadAnswer(Answer):
    """One load; temperatures in °F."""

    id: UUID
    number: str
    state: Annotated[str, Word(LOADS.states)] = Field(description="Planned, loaded, delivered or cancelled.")
    temperature_class: Annotated[str, Word(TemperatureClass)]
    food: bool
    setpoint_f: Decimal | None
    lowest_f: Decimal | None
    highest_f: Decimal | None
    mode: Annotated[str, Word(CoolingMode, empty=True)]
    seal: str
    pre_loaded: bool
    last_cargo: str
    washout: str
    states: list[str]
    trailer: UnitShort | None
    pre_load_checked_at: datetime | None
    loaded_at: datetime | None
    seal_checked_at: datetime | None
    seal_checked_by: PersonShort | None
    seal_read: str = Field(description="what was read on the doors where it was another seal")
    seal_read_at: datetime | None
    seal_read_by: PersonShort | None
    seal_says: str = Field(description="what to do while dispatch has not decided over the seal")
    seal_decision: str
    seal_decided_at: datetime | None
    seal_decided_by: PersonShort | None
    delivered_at: datetime | None
    cancelled_at: datetime | None
    cancel_reason: str
    recorded_at: datetime
    recorded_by: PersonShort
    version: int
    allowed_actions: list[str]

    @classmethod
    def for_roles(cls, load: Load, roles: frozenset[str]) -> Self:
        """Return a load with what somebody of these roles may do with it now."""
        state = load_state(load)
        says = Message("seal_differs", {"seal_read": load.seal_read}) if seal_waits(load) else None
        return cls.of(
            load,
            state=state,
            seal_says="" if says is None else messages.render(says, get_language() or "en"),
            allowed_actions=LOADS.allowed_actions(state, roles),
        )
