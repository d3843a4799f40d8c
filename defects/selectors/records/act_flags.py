"""What is flagged about reviews and refusals: their history says it."""

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from uuid import UUID

from fleet.models import HistoryEntry

ActFlags = Mapping[UUID, Sequence[Mapping[str, Any]]]
"""By the key of a refusal, or of a review's row, the code and the facts of each flag."""


def flags_of_acts(acts: Iterable[UUID]) -> ActFlags:
    """The flags of the acts that have any, in one statement; none once the history's content was deleted."""
    entries = HistoryEntry.objects.filter(
        subject__in=list(acts), kind__in=("unit_refused", "driver_reviewed"), content__isnull=False
    )
    said = {subject: json.loads(body) for subject, body in entries.values_list("subject", "content__body")}
    return {subject: body["flags"] for subject, body in said.items() if subject is not None and "flags" in body}
