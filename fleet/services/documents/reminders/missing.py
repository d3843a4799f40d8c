"""Which required papers nobody has recorded: what is asked of units, and what the carrier itself lacks.

Papers by State are asked for in the States that the carrier says it runs in (`states_run`). Those of people are not
reminded of: they stand on the expiry list, by each person's own roles and scopes.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from common.messages import Message
from fleet.enums import NoticeKind, Role, UnitKind
from fleet.models import Carrier, Document
from fleet.rules.documents.kinds import PaperNeed, papers_needed
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.reminders import MISSING, missing_step
from fleet.selectors.carrier.policies import standing_policies
from fleet.selectors.documents.status import PaperDay
from fleet.services.documents.reminders.wording import missing_facts, what_is_missing
from fleet.services.notifications.create import NoticeDraft, owe_notices
from fleet.services.notifications.recipients import Audience, people_to_tell

CARRIER = "carrier"

Needs = Mapping[str, Sequence[PaperNeed]]
"""By subject, what each such subject should have."""


def needs_in_force(*, now: datetime) -> Needs:
    """What the carrier's conditions ask of its units and of itself, in one statement; NotFound `carrier_missing`."""
    decided = standing_policies(now=now).policies
    conditions: Any = decided.get("paper_conditions") or {}
    states: Any = decided.get("states_run") or []
    kinds = load_document_kinds().values()
    return {
        subject: papers_needed(kinds, subject, frozenset(conditions.get(subject, ())), frozenset(states))
        for subject in (*UnitKind.values, CARRIER)
    }


def unit_columns(needs: Needs, day: PaperDay) -> dict[str, object]:
    """The same of units as columns for the statement: subject, kind, State, this week's step and its facts."""
    pairs = [(subject, need) for subject, wanted in needs.items() if subject != CARRIER for need in wanted]
    return {
        "code": MISSING,
        "subjects": [subject for subject, _ in pairs],
        "kinds": [need.kind.name for _, need in pairs],
        "states": [need.state for _, need in pairs],
        "steps": [missing_step(need.kind.name, need.state, day.today) for _, need in pairs],
        "facts": [missing_facts(need) for _, need in pairs],
    }


@transaction.atomic
def carrier_lacks(needs: Needs, day: PaperDay, *, now: datetime) -> int:
    """Owe compliance word of every paper that the carrier itself lacks; how many notices."""
    held = set(
        Document.objects.filter(unit=None, person=None, replaced_at=None)
        .order_by("kind")
        .values_list("kind", flat=True)
    )
    lacking = [need for need in needs[CARRIER] if need.kind.name not in held]
    if not lacking:
        return 0
    office = Audience(Role.COMPLIANCE)
    people = [person.pk for person in people_to_tell([office], now=now)[office]]
    carrier = Carrier.objects.values_list("pk", flat=True).get()
    drafts = [
        NoticeDraft(
            kind=NoticeKind.DOCUMENT_ENDING,
            code=MISSING,
            subject=carrier,
            people=people,
            facts={**what_is_missing(need), "whose": Message("papers_carrier")},
            step=missing_step(need.kind.name, need.state, day.today),
        )
        for need in lacking
    ]
    return len(owe_notices(drafts, now=now))
