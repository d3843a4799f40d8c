"""In which state of its transition table a row is; all of them follow from dates, none is stored."""

from common.transitions import TransitionTable
from fleet.enums import CouplingState, DocumentRecordState, HoldState, MountingState, PersonState, SiteState, UnitState
from fleet.models import Coupling, Document, LegalHold, Mounting, Person, Site, Unit
from fleet.transitions import THIRD_PARTY_UNIT, UNIT


def unit_table(unit: Unit) -> TransitionTable:
    """Return the table of a unit's moves: its own for one of others."""
    return UNIT if unit.ours else THIRD_PARTY_UNIT


def unit_state(unit: Unit) -> UnitState:
    """Return `in_service` or `retired`."""
    return UnitState.IN_SERVICE if unit.retired_on is None else UnitState.RETIRED


def coupling_state(coupling: Coupling) -> CouplingState:
    """Return `coupled` or `ended`."""
    return CouplingState.COUPLED if coupling.ended_at is None else CouplingState.ENDED


def mounting_state(mounting: Mounting) -> MountingState:
    """Return `mounted` or `ended`."""
    return MountingState.MOUNTED if mounting.span.upper is None else MountingState.ENDED


def document_state(document: Document) -> DocumentRecordState:
    """Return `standing` or `replaced`; whether a standing one is current or has run out follows from its days."""
    return DocumentRecordState.CURRENT if document.replaced_at is None else DocumentRecordState.SUPERSEDED


def person_state(person: Person) -> PersonState:
    """Return `here` or `left`."""
    return PersonState.HERE if person.left_on is None else PersonState.LEFT


def site_state(site: Site) -> SiteState:
    """Return `open` or `closed`."""
    return SiteState.OPEN if site.closed_on is None else SiteState.CLOSED


def legal_hold_state(hold: LegalHold) -> HoldState:
    """Return `standing` or `lifted`."""
    return HoldState.ACTIVE if hold.lifted_at is None else HoldState.LIFTED
