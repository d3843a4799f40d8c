"""Holds as they are shown, in a person's language."""

from collections.abc import Sequence
from datetime import datetime
from typing import Annotated, Self
from uuid import UUID

from pydantic import Field

from common.api.answers import Answer
from common.api.values import Word
from defects.enums import DefectState, HoldKind
from defects.models import Defect, Hold
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.naming import what_of_defect, what_of_hold
from defects.selectors.holds import hold_state, hold_version, photo_awaited
from defects.selectors.signing_links import firm_to_confirm
from defects.transitions import HOLDS
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitShort
from fleet.enums import HoldState
from fleet.models import Person


class HoldAnswer(Answer):
    """One hold. `defect` is the number of the defect that placed it; a person's or an officer's has none."""

    id: UUID
    number: int
    unit: UnitShort
    kind: Annotated[str, Word(HoldKind)]
    state: Annotated[str, Word(HoldState)]
    defect: int | None
    what: str = Field(description="why it stands, in your language")
    roadside_inspection: str = Field(description="the officer's report; empty for the carrier's own")
    placed_at: datetime
    placed_by: PersonShort
    lifted_at: datetime | None
    lifted_by: PersonShort | None
    lift_reason: str
    lift_flag: str = Field(description="what a reader should know of the lifting; empty as a rule")

    @classmethod
    def of_hold(cls, hold: Hold, catalogue: Catalogue, language: str, **more: object) -> Self:
        """Return a hold in the words of a catalogue."""
        return cls.of(
            hold,
            state=hold_state(hold),
            defect=None if hold.defect is None else hold.defect.number,
            what=what_of_hold(hold, catalogue, language),
            roadside_inspection="" if hold.roadside is None else hold.roadside.report_number,
            **more,
        )


class WaitsForAnswer(Answer):
    """A defect that must be repaired before the hold may be lifted, and shown where that was done on the spot."""

    number: int
    what: str
    state: Annotated[str, Word(DefectState)]
    expected_at: datetime | None
    photo_awaited: bool
    firm_to_confirm: str = Field(description="the signer's firm, until somebody else has confirmed it")

    @classmethod
    def of_defect(cls, defect: Defect, catalogue: Catalogue, language: str) -> Self:
        """Return a defect that a hold waits for."""
        return cls.of(
            defect,
            what=what_of_defect(defect, catalogue, language),
            photo_awaited=photo_awaited(defect),
            firm_to_confirm=firm_to_confirm(defect),
        )


class HoldPageAnswer(HoldAnswer):
    """One hold, what it waits for, and what you may do now."""

    waits_for: list[WaitsForAnswer]
    version: int
    allowed_actions: list[str]

    @classmethod
    def of_page(cls, hold: Hold, under: Sequence[Defect], catalogue: Catalogue, person: Person) -> Self:
        """Return a hold with the defects that it waits for."""
        return cls.of_hold(
            hold,
            catalogue,
            person.language,
            version=hold_version(hold, under),
            waits_for=[WaitsForAnswer.of_defect(defect, catalogue, person.language) for defect in under],
            allowed_actions=HOLDS.allowed_actions(hold_state(hold), person.current_roles),
        )
