"""What stored papers amount to on a day: their last day and status under the carrier's decisions. No row is changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import cast

from common.clock import day_in_zone
from fleet.models import Document
from fleet.rules.documents import DocumentKind, Reading, load_document_kinds, state_on
from fleet.rules.papers import stored_end
from fleet.rules.policies import POLICIES
from fleet.selectors.policies import standing_policies

REPLACED = "replaced"


@dataclass(frozen=True)
class PaperDay:
    """A day of the carrier's on which papers are looked at, with how it reads ends and when it wants to be reminded."""

    today: date
    reading: Reading
    lead_times: Mapping[str, Sequence[int]]

    def last_day(self, document: Document) -> date | None:
        """Return the last day on which the paper serves, a grace included; None without an end."""
        return stored_end(_kind(document), document).last_day(self.reading)

    def status(self, document: Document) -> str:
        """Return a `DocumentState`, or `replaced` for a paper that the next one has followed."""
        if document.replaced_at is not None:
            return REPLACED
        kind = _kind(document)
        lead = self.lead_times.get(document.kind, kind.lead_days)
        return state_on(stored_end(kind, document), self.today, reading=self.reading, lead_days=lead)


def paper_day(*, now: datetime) -> PaperDay:
    """Return the carrier's present day, in one statement; NotFound `carrier_missing`."""
    standing = standing_policies(now=now)
    keys = ("periodic_inspection_reading", "lead_times")
    decided = {key: standing.policies.get(key, POLICIES[key].default) for key in keys}
    return PaperDay(
        today=day_in_zone(now, standing.zone),
        reading=Reading(str(decided["periodic_inspection_reading"])),
        lead_times=cast("Mapping[str, Sequence[int]]", decided["lead_times"]),
    )


def _kind(document: Document) -> DocumentKind:
    return load_document_kinds()[document.kind]
