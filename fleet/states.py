"""In which state of its transition table a row is; all of them follow from dates, none is stored."""

from common.transitions import TransitionTable
from fleet.models import Coupling, Document, LegalHold, Mounting, Person, Site, Unit
from fleet.transitions import UNIT, UNIT_OF_OTHERS


def unit_table(unit: Unit) -> TransitionTable:
    """Return the table of a unit's moves: its own for one of others."""
    return UNIT if unit.ours else UNIT_OF_OTHERS


def unit_state(unit: Unit) -> str:
    """Return `in_service` or `retired`."""
    return "in_service" if unit.retired_on is None else "retired"


def coupling_state(coupling: Coupling) -> str:
    """Return `coupled` or `ended`."""
    return "coupled" if coupling.ended_at is None else "ended"


def mounting_state(mounting: Mounting) -> str:
    """Return `mounted` or `ended`."""
    return "mounted" if mounting.span.upper is None else "ended"


def document_state(document: Document) -> str:
    """Return `standing` or `replaced`; whether a standing one is current or has run out follows from its days."""
    return "standing" if document.replaced_at is None else "replaced"


def person_state(person: Person) -> str:
    """Return `here` or `left`."""
    return "here" if person.left_on is None else "left"


def site_state(site: Site) -> str:
    """Return `open` or `closed`."""
    return "open" if site.closed_on is None else "closed"


def legal_hold_state(hold: LegalHold) -> str:
    """Return `standing` or `lifted`."""
    return "standing" if hold.lifted_at is None else "lifted"
