"""What time or events brought against answers that dispatch plans by: found by the job, told once for each thing."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import Max, Q

from defects.enums import ClearanceAnswer
from defects.models import ActiveBar, Clearance, ClearanceChange
from defects.rules.clearance.bars import Row, bars_by_name
from defects.selectors.clearance.answer import answer_for
from defects.selectors.clearance.planned_trips import planned_clearances, rest_of_trip
from defects.selectors.clearance.trips import facts_of_trips
from defects.services.clearance.clearances import answer_columns
from defects.services.clearance.notifications import (
    BAR,
    BARRED,
    BARRED_FURTHER,
    CLEARANCE_CHANGE,
    NewlyBarred,
    notify_of_clearance_changes,
)
from fleet.services.notifications.skipped_records import in_batches

Bars = Mapping[UUID, Mapping[str, Row]]
"""By clearance, what bars it now, by name."""


def note_bars(barred: Bars, *, planned: Mapping[UUID, Clearance], now: datetime) -> dict[UUID, list[ActiveBar]]:
    """Note what bars each answer and what does no longer; by clearance, what is news, by constraint.

    At first sight, what a clearance said against itself when it was asked is no news; of one that said nothing, its
    turn tells everything. Four statements at most.
    """
    active = _active(planned)
    gone = [bar.pk for bar in active if bar.bar not in barred.get(bar.clearance_id, {})]
    ActiveBar.objects.filter(pk__in=gone).update(gone_at=now)
    noted = {(bar.clearance_id, bar.bar) for bar in active}
    seen_before = set(ActiveBar.objects.filter(clearance__in=barred).values_list("clearance_id", flat=True))
    newly_barred = {
        (key, name) for key in barred.keys() - seen_before for name in bars_by_name(planned[key].reasons) or barred[key]
    }
    fresh = [bar for bar in _rows(barred, now) if (bar.clearance_id, bar.bar) not in noted]
    ActiveBar.objects.bulk_create(fresh, ignore_conflicts=True)
    ours: dict[UUID, list[ActiveBar]] = {}
    for bar in ActiveBar.objects.filter(pk__in=[bar.pk for bar in fresh]).order_by("pk"):
        if (bar.clearance_id, bar.bar) not in newly_barred:
            ours.setdefault(bar.clearance_id, []).append(bar)
    return ours


def _active(clearances: Collection[UUID]) -> list[ActiveBar]:
    return list(ActiveBar.objects.filter(Q(clearance__in=clearances), gone_at__isnull=True).order_by("pk"))


def _rows(barred: Bars, now: datetime) -> Iterator[ActiveBar]:
    for key in sorted(barred):
        for name in sorted(barred[key]):
            yield ActiveBar(clearance_id=key, bar=name, seen_at=now)


BATCH = 500


def notify_of_changes(*, now: datetime) -> int:
    """Judge again every answer that dispatch still plans by, and notify of what bars them newly; of how many.

    An answer that turns to barred is told once for each time it turns. To one that stands barred, or was barred when it
    was asked, each new thing is told once for each time it comes. Turning back is not told. What stands against an
    answer that nobody plans by any more ends with that. Safe to run at once and again.
    """
    planned = planned_clearances(now=now)
    keys = [clearance.pk for clearance in planned]
    ClearanceChange.objects.filter(back_at__isnull=True).exclude(clearance__in=keys).update(back_at=now)
    ActiveBar.objects.filter(gone_at__isnull=True).exclude(clearance__in=keys).update(gone_at=now)
    return in_batches(
        "notify_of_changes",
        planned,
        lambda batch: _judge(batch, now),
        key=lambda clearance: clearance.pk,
        size=BATCH,
        now=now,
    )


def _judge(planned: Sequence[Clearance], now: datetime) -> int:
    facts = facts_of_trips([rest_of_trip(clearance, now=now) for clearance in planned], now=now)
    answers = {clearance.pk: answer_for(item.snapshot) for clearance, item in zip(planned, facts, strict=True)}
    barred: dict[UUID, Mapping[str, Row]] = {}
    for key, answer in answers.items():
        if answer.answer is ClearanceAnswer.BARRED:
            barred[key] = bars_by_name(answer_columns(answer)["reasons"])
    requested = {clearance.pk: clearance for clearance in planned}
    with transaction.atomic():
        rows = ClearanceChange.objects.filter(clearance__in=answers.keys() - barred.keys(), back_at__isnull=True)
        rows.update(back_at=now)
        changes = _turned({key: bars for key, bars in barred.items() if not _was_barred(requested[key])}, now)
        newly_barred = [
            NewlyBarred(
                requested[change.clearance_id],
                BARRED,
                f"{CLEARANCE_CHANGE}{change.number}",
                list(barred[change.clearance_id].values()),
            )
            for change in changes
        ]
        turned = {change.clearance_id for change in changes}
        for key, bars in note_bars(barred, planned=requested, now=now).items():
            if key not in turned:
                step, rows_now = f"{BAR}{bars[0].pk}", [barred[key][bar.bar] for bar in bars]
                newly_barred.append(NewlyBarred(requested[key], BARRED_FURTHER, step, rows_now))
        notify_of_clearance_changes(newly_barred, effective=facts[0].effective, now=now)
    return len(newly_barred)


def _was_barred(clearance: Clearance) -> bool:
    return clearance.answer == ClearanceAnswer.BARRED


def _turned(barred: Bars, now: datetime) -> list[ClearanceChange]:
    """The turns that nobody had noted yet, by constraint: of two jobs at once one finds each."""
    counted = ClearanceChange.objects.filter(clearance__in=barred).values("clearance")
    known = {
        row["clearance"]: (row["last"], row["lasting"])
        for row in counted.annotate(last=Max("number"), lasting=Max("number", filter=Q(back_at__isnull=True)))
    }
    fresh = [
        ClearanceChange(clearance_id=key, number=known.get(key, (0, None))[0] + 1, barred_at=now)
        for key in sorted(barred)
        if known.get(key, (0, None))[1] is None
    ]
    ClearanceChange.objects.bulk_create(fresh, ignore_conflicts=True)
    return list(ClearanceChange.objects.filter(pk__in=[change.pk for change in fresh]).order_by("pk"))
