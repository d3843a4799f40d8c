"""What each report of a walk-around says was looked at, from its legs, its checks and the faults of its unit."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from django.conf import settings

from common import messages
from common.messages import Message
from defects.models import Walkaround
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.facts import UnitFacts
from defects.rules.walkarounds.assess import Assessment
from defects.rules.walkarounds.body import ReportBody
from defects.rules.walkarounds.judge import Circumstances
from defects.rules.walkarounds.looks import Looks, Walked, look_over, together, unlooked
from defects.services.walkarounds.scene import KnownDefects
from fleet.enums import UnitKind
from fleet.models import Unit

TO_SIGN = "walk_to_sign"
"""The sentence under which legs are signed for; `/walk` gives it."""


@dataclass(frozen=True)
class Looking:
    """What the reports of one walk-around are looked over by."""

    walked: Walked
    facts: Mapping[UUID, UnitFacts]
    known: KnownDefects

    def over(self, report: ReportBody, unit: Unit | None, assessment: Assessment) -> Looks:
        """What one report covers and leaves; of a unit that nobody knows its legs are kept, and none counts."""
        if unit is None:
            return unlooked(report.looked_at, self.walked)
        faults = self.known.one_by_one.get(unit.pk, set())
        return look_over(report.looked_at, assessment.judged, self.facts[unit.pk], self.walked, faults)


def walked(walkaround: Walkaround, under: Circumstances, named: Catalogue | None, units: Iterable[Unit]) -> Walked:
    """What the walk-around itself says of the looking; `units` are all those on it that are known."""
    road_units = {unit.pk for unit in units if unit.kind != UnitKind.COOLING_UNIT}
    return Walked(
        conditions=replace(together(under.conditions, len(road_units)), walk_kind=walkaround.kind),
        on=under.on,
        began=walkaround.started_at,
        ended=walkaround.finished_at,
        time_known=under.time_known,
        in_force=under.catalogues[0],
        named=named,
        signed=says_what_a_leg_is(walkaround.signature.shown),
    )


def says_what_a_leg_is(shown: str) -> bool:
    """Whether the sentence of the legs stood above a signature, in a language of ours, however it was broken."""
    read = _plain(shown)
    return any(_plain(messages.render(Message(TO_SIGN), language)) in read for language, _ in settings.LANGUAGES)


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
