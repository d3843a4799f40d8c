"""How long an entry of a history is kept, by the rules that apps contribute. What no app names is kept for good."""

from functools import cache

from common.composition import contributed, indexed
from fleet.rules.records.retention import UNKNOWN, Happened, Retained, Retention, RetentionBy


def retention_of(event: str, happened: Happened) -> Retained:
    """How long an entry is kept by the rules; `UNKNOWN` for a kind that no app names."""
    retained_by = _by_event(contributed(Retention)).get(event)
    return UNKNOWN if retained_by is None else retained_by(happened)


@cache
def _by_event(retentions: tuple[Retention, ...]) -> dict[str, RetentionBy]:
    return indexed((event, retention.retained_by) for retention in retentions for event in retention.events)
