"""The job of every minute: what time alone makes due. Sending is another job, in `deliveries`."""

from dataclasses import dataclass
from datetime import datetime

from fleet.services.notifications.escalate import escalate_late_documents, escalate_unanswered
from fleet.services.notifications.gather import gather_digests


@dataclass(frozen=True)
class Escalated:
    """How much one job newly created."""

    escalated: int
    documents_escalated: int
    digests: int


def escalate_notifications(*, now: datetime) -> Escalated:
    """Escalate what nobody answered, then owe the digests whose morning has come; urgent things first."""
    return Escalated(
        escalated=escalate_unanswered(now=now),
        documents_escalated=escalate_late_documents(now=now),
        digests=gather_digests(now=now),
    )
