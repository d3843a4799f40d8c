"""Whether a periodic inspection shows that its inspector was qualified (49 CFR 396.19). Writes nothing."""

from collections.abc import Mapping
from datetime import date

from common.errors import FieldProblem, Invalid
from fleet.enums import Scope
from fleet.models import Qualification
from fleet.rules.documents.recording import inspection_problems
from fleet.rules.units.description import FactProblem

INSPECTION = "periodic_inspection"
SHOWN_BY = frozenset({"program", "inspector", "issuer", "evidence_held_by", "starts_on"})
"""The columns that show it."""


class Inspectors:
    """Everybody qualified for periodic inspections, by name and days; read once for a whole table."""

    def __init__(self) -> None:
        rows = Qualification.objects.filter(scope=Scope.PERIODIC_INSPECTION).order_by("pk")
        self._held = list(rows.values_list("person__name", "starts_on", "ends_on"))

    def problems(self, document: Mapping[str, object]) -> list[FactProblem]:
        """Return what a document with these columns does not show; nothing when it does."""
        name, day = str(document.get("inspector", "")).casefold(), document.get("starts_on")
        qualified = isinstance(day, date) and any(
            held.casefold() == name and starts <= day and (ends is None or day <= ends)
            for held, starts, ends in self._held
        )
        return inspection_problems(document, qualified=qualified)


def refuse_unproven_inspector(kind: str, document: Mapping[str, object], *, ours: bool) -> None:
    """Invalid `document_refused` for a periodic inspection of a unit of ours that does not show it."""
    if kind != INSPECTION or not ours:
        return
    problems = [FieldProblem(f"/{problem.field}", problem.code) for problem in Inspectors().problems(document)]
    if problems:
        raise Invalid("document_refused", problems=problems)
