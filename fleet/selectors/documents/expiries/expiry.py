"""One line of the expiry list, as its readers need it: whose document, when it ends, what it is today."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from fleet.rules.documents.kinds import DocumentKind
from fleet.rules.documents.states import DocumentState
from fleet.selectors.documents.expiries.request import Place
from fleet.selectors.documents.expiries.responsible import Holder


@dataclass(frozen=True, slots=True)
class Named:
    """A unit (number and owner, empty for our own) or a person (name alone)."""

    id: UUID
    name: str
    owner: str = ""
    kind: str = ""

    @property
    def number(self) -> str:
        """Return a unit's number."""
        return self.name

    def __str__(self) -> str:
        return f"{self.name}@{self.owner}" if self.owner else self.name


@dataclass(frozen=True, slots=True)
class Expiry:
    """A current document or qualification that ends, a document that is missing, or one not known to be asked for.

    Of the last two `document`, `qualification` and every day are None.

    `ends_on` and `ends_on_month` are both readings of the end, `last_day` the one that counts for the carrier with a
    grace included, `grace_until` the last day of the grace. `day` is the one that is counted to: the day to act by,
    and in a grace its last day. `days_left` is negative once `last_day` is over. `id` is the document's or the
    qualification's, or a stable key of what is missing or not known.
    """

    id: UUID
    place: Place
    kind: DocumentKind
    subject: str
    unit: Named | None
    person: Named | None
    site: str | None
    document: UUID | None
    qualification: UUID | None
    number: str
    us_state: str
    starts_on: date | None
    ends_on: date | None
    ends_on_month: date | None
    last_day: date | None
    grace_until: date | None
    act_by: date | None
    day: date | None
    days_left: int | None
    in_grace: bool
    status: str
    responsible: Sequence[Holder]
    recorded_at: datetime | None
    version: int

    @property
    def whose(self) -> str:
        """Return the unit's or person's name; empty for the carrier itself."""
        return str(self.unit or self.person or "")

    @property
    def bars(self) -> bool:
        """Return whether it keeps units from rolling once it has run out; of what is missing, whether that does."""
        if self.status in {DocumentState.MISSING, DocumentState.NOT_KNOWN}:
            return self.kind.missing_bars and self.status == DocumentState.MISSING
        return self.kind.bars_clearance

    @property
    def link(self) -> str | None:
        """Return where the document or the qualification is read; None for what is missing or not known."""
        if self.qualification is not None:
            return f"/api/v1/qualifications/{self.qualification}"
        return None if self.document is None else f"/api/v1/documents/{self.document}"
