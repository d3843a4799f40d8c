"""What stands against the answers that dispatch plans by, thing by thing, so that each new one is found once."""

from collections.abc import Collection, Iterator, Mapping
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from defects.models import ActiveBar, Clearance
from defects.rules.clearance.bars import Row, bars_by_name

Bars = Mapping[UUID, Mapping[str, Row]]
"""By clearance, what bars it now, by name."""


def note_bars(barred: Bars, *, watched: Mapping[UUID, Clearance], now: datetime) -> dict[UUID, list[ActiveBar]]:
    """Note what bars each answer and what does no longer; by clearance, what is news, by constraint.

    At first sight, what a clearance said against itself when it was asked is no news; of one that said nothing, its
    turn tells everything. Four statements at most.
    """
    active = _active(watched)
    gone = [bar.pk for bar in active if bar.bar not in barred.get(bar.clearance_id, {})]
    ActiveBar.objects.filter(pk__in=gone).update(gone_at=now)
    noted = {(bar.clearance_id, bar.bar) for bar in active}
    seen_before = set(ActiveBar.objects.filter(clearance__in=barred).values_list("clearance_id", flat=True))
    told = {
        (key, name) for key in barred.keys() - seen_before for name in bars_by_name(watched[key].reasons) or barred[key]
    }
    fresh = [bar for bar in _rows(barred, now) if (bar.clearance_id, bar.bar) not in noted]
    ActiveBar.objects.bulk_create(fresh, ignore_conflicts=True)
    ours: dict[UUID, list[ActiveBar]] = {}
    for bar in ActiveBar.objects.filter(pk__in=[bar.pk for bar in fresh]).order_by("pk"):
        if (bar.clearance_id, bar.bar) not in told:
            ours.setdefault(bar.clearance_id, []).append(bar)
    return ours


def _active(clearances: Collection[UUID]) -> list[ActiveBar]:
    return list(ActiveBar.objects.filter(Q(clearance__in=clearances), gone_at__isnull=True).order_by("pk"))


def _rows(barred: Bars, now: datetime) -> Iterator[ActiveBar]:
    for key in sorted(barred):
        for name in sorted(barred[key]):
            yield ActiveBar(clearance_id=key, bar=name, seen_at=now)
