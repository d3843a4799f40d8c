"""Filling a hold's answer in a person's language. Decides nothing."""

from collections.abc import Sequence

from defects.api.defects.words import Body, person_body, unit_body
from defects.models import Defect, Hold
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.naming import what_of_defect, what_of_hold
from defects.selectors.holds import hold_state, photo_awaited
from defects.selectors.signing_links import firm_to_confirm
from defects.transitions import HOLDS
from fleet.models import Person


def hold_body(hold: Hold, catalogue: Catalogue, language: str) -> Body:
    """One hold as a list shows it."""
    return {
        "id": hold.pk,
        "number": hold.number,
        "unit": unit_body(hold.unit),
        "kind": hold.kind,
        "state": hold_state(hold),
        "defect": None if hold.defect is None else hold.defect.number,
        "what": what_of_hold(hold, catalogue, language),
        "roadside_inspection": "" if hold.roadside is None else hold.roadside.report_number,
        "placed_at": hold.placed_at,
        "placed_by": person_body(hold.placed_by),
        "lifted_at": hold.lifted_at,
        "lifted_by": None if hold.lifted_by is None else person_body(hold.lifted_by),
        "lift_reason": hold.lift_reason,
        "lift_flag": hold.lift_flag,
    }


def hold_page_body(hold: Hold, under: Sequence[Defect], catalogue: Catalogue, person: Person) -> Body:
    """One hold with the defects that it waits for."""
    return {
        **hold_body(hold, catalogue, person.language),
        "waits_for": [
            {
                "number": defect.number,
                "what": what_of_defect(defect, catalogue, person.language),
                "state": defect.state,
                "expected_at": defect.expected_at,
                "photo_awaited": photo_awaited(defect),
                "firm_to_confirm": firm_to_confirm(defect),
            }
            for defect in under
        ],
        "allowed_actions": HOLDS.allowed_actions(hold_state(hold), person.current_roles),
    }
