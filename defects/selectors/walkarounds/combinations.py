"""Which couplings a walk-around confirmed: a driver walked the whole combination as it is recorded."""

from collections import defaultdict
from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from datetime import datetime
from uuid import UUID

from defects.models import Report


def confirmed_since(members: Mapping[UUID, AbstractSet[UUID]], at: datetime) -> set[UUID]:
    """Those couplings of `members` all of whose units one walk-around after an instant named coupled."""
    if not members:
        return set()
    rows = Report.objects.filter(walkaround__coupling__in=members, walkaround__performed_at__gt=at)
    seen: dict[tuple[UUID, UUID], set[UUID]] = defaultdict(set)
    for coupling, walkaround, unit in rows.values_list("walkaround__coupling", "walkaround", "unit"):
        seen[coupling, walkaround].add(unit)
    return {coupling for (coupling, _), units in seen.items() if members[coupling] <= units}
