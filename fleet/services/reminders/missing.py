"""Which required papers nobody has recorded: what is asked of units, and what the carrier itself lacks.

Papers asked for by State are left to clearance, which knows the States of a load; those of people are not asked for,
since the carrier's conditions speak of all people alike.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from common.messages import Message
from fleet.enums import NoticeKind, Role, UnitKind
from fleet.models import Carrier, Document
from fleet.notice_texts.papers import kind_code
from fleet.rules.documents import load_document_kinds, papers_needed
from fleet.rules.documents.reminders import MISSING, missing_step
from fleet.selectors.documents import PaperDay
from fleet.selectors.policies import standing_policies
from fleet.services.notices import Audience, NoticeDraft, owe_notices, people_to_tell
from fleet.services.reminders.wording import missing_facts

CARRIER = "carrier"

Needs = Mapping[str, Sequence[str]]
"""By subject, the names of the kinds that each such subject should have."""


def needs_in_force(*, now: datetime) -> Needs:
    """What the carrier's conditions ask of its units and of itself, in one statement; NotFound `carrier_missing`."""
    conditions: Any = standing_policies(now=now).policies.get("paper_conditions") or {}
    kinds = load_document_kinds().values()
    return {
        subject: [need.kind.name for need in papers_needed(kinds, subject, set(conditions.get(subject, ())), set())]
        for subject in (*UnitKind.values, CARRIER)
    }


def unit_columns(needs: Needs, day: PaperDay) -> dict[str, object]:
    """The same of units as columns for the statement: subject, kind, this week's step and its facts."""
    pairs = [(subject, kind) for subject, kinds in needs.items() if subject != CARRIER for kind in kinds]
    return {
        "code": MISSING,
        "subjects": [subject for subject, _ in pairs],
        "kinds": [kind for _, kind in pairs],
        "steps": [missing_step(kind, day.today) for _, kind in pairs],
        "facts": [missing_facts(kind) for _, kind in pairs],
    }


@transaction.atomic
def carrier_lacks(needs: Needs, day: PaperDay, *, now: datetime) -> int:
    """Owe compliance word of every paper that the carrier itself lacks; how many notices."""
    held = set(
        Document.objects.filter(unit=None, person=None, replaced_at=None)
        .order_by("kind")
        .values_list("kind", flat=True)
    )
    lacking = [kind for kind in needs[CARRIER] if kind not in held]
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
            facts={"paper": Message(kind_code(kind)), "whose": Message("papers_carrier")},
            step=missing_step(kind, day.today),
        )
        for kind in lacking
    ]
    return len(owe_notices(drafts, now=now))
