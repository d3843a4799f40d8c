"""Who is told that an answer turned to barred: whoever asked, and dispatch. Finding it is elsewhere."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from defects.models import AnswerFlip, Clearance
from defects.rules.catalogue import Catalogue
from defects.rules.clearance import Clearance as Judged
from defects.rules.clearance import ReasonKind
from defects.selectors.clearance.words import reason_words
from defects.services.clearances import answer_columns
from fleet.enums import NoticeKind, Role, UnitKind
from fleet.models import Notice, Person
from fleet.services.notices import Audience, NoticeDraft, by_language, owe_notices, people_to_tell

AT_ONCE_WITHIN = timedelta(hours=24)
"""A trip that leaves sooner than this, or is under way, cannot wait for the morning's digest. Our own default."""
SHOWN = 3
"""So many reasons stand in the notice; the clearance asked for anew names them all."""


@dataclass(frozen=True)
class FlipTold:
    """One turn, the clearance that it turned, and what is answered now."""

    flip: AnswerFlip
    clearance: Clearance
    answer: Judged


def tell_of_flips(told: Sequence[FlipTold], *, catalogue: Catalogue, now: datetime) -> list[Notice]:
    """Owe whoever asked and dispatch word of each turn, in their own language; nothing is read for none."""
    if not told:
        return []
    audience = Audience(Role.DISPATCH)
    dispatch = people_to_tell([audience], now=now)[audience]
    askers = Person.objects.in_bulk({item.clearance.asked_by_id for item in told})
    drafts = [
        _draft(item, keys, catalogue, language, now)
        for item in told
        for language, keys in by_language([askers[item.clearance.asked_by_id], *dispatch]).items()
    ]
    return owe_notices(drafts, now=now)


def _draft(item: FlipTold, people: list[UUID], catalogue: Catalogue, language: str, now: datetime) -> NoticeDraft:
    units = sorted(item.clearance.units.all(), key=lambda unit: unit.kind == UnitKind.COOLING_UNIT)
    return NoticeDraft(
        kind=NoticeKind.ANSWER_FLIPPED,
        code="answer_flipped",
        subject=item.clearance.pk,
        people=people,
        facts={
            "units": [str(unit) for unit in units],
            "departs_at": item.clearance.departure,
            "why": " ".join(_bars(item.answer, catalogue, language)[:SHOWN]),
        },
        unit=units[0].pk,
        step=f"flip {item.flip.number}",
        urgent=item.clearance.departure <= now + AT_ONCE_WITHIN,
    )


def _bars(answer: Judged, catalogue: Catalogue, language: str) -> list[str]:
    """The sentences of everything that bars, unknown areas included."""
    columns = answer_columns(answer)
    rows = [row for row in columns["reasons"] if row["kind"] == ReasonKind.BARS]
    rows += [row for row in columns["unknown"] if row["bars"]]
    return [reason_words(row, catalogue, language) for row in rows]
