"""What each report of a walk-around says was looked at, from its legs, its checks and the faults of its unit."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from defects.rules.assess import Assessment
from defects.rules.facts import UnitFacts
from defects.rules.looks import Looks, Walked, look_over, together
from defects.rules.submission import GivenReport, Submission
from defects.rules.timing import Timing
from defects.services.walkarounds.particulars import Particulars
from defects.services.walkarounds.scene import KnownDefects
from fleet.enums import UnitKind
from fleet.models import Unit


@dataclass(frozen=True)
class Looking:
    """What the reports of one walk-around are looked over by."""

    walked: Walked
    facts: Mapping[UUID, UnitFacts]
    known: KnownDefects

    def over(self, report: GivenReport, unit: Unit | None, assessment: Assessment) -> Looks:
        """What one report covers and leaves; nothing of a unit that nobody knows."""
        if unit is None:
            return Looks()
        faults = self.known.one_by_one.get(unit.pk, set())
        return look_over(report.looked_at, assessment.judged, self.facts[unit.pk], self.walked, faults)


def walked(submission: Submission, timing: Timing, particulars: Particulars, on: date, units: Iterable[Unit]) -> Walked:
    """What the walk-around itself says of the looking."""
    road_units = {unit.pk for unit in units if unit.kind != UnitKind.COOLING_UNIT}
    return Walked(
        conditions=replace(together(submission.conditions, len(road_units)), walk_kind=submission.kind),
        on=on,
        began=submission.started_at,
        ended=submission.finished_at,
        time_known=timing.known,
        in_force=particulars.catalogues[0],
        named=particulars.named,
    )
