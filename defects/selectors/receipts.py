"""What the driver is answered: the rows one walk-around left behind, fresh or read back for a replay."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Q

from defects.models import Certificate, Hold, Report, Sighting, Walkaround
from defects.rules.catalogue import Catalogue
from defects.selectors.catalogue import catalogue_in_force
from fleet.enums import NoticeKind
from fleet.models import Mounting, Notice
from fleet.selectors.policies import standing_policies
from fleet.selectors.reach import can_be_told, open_webhook


@dataclass(frozen=True)
class Receipt:
    """One walk-around with all it brought about. `holds` are those that stand on its findings, new or not."""

    walkaround: Walkaround
    reports: Sequence[Report]
    sightings: Sequence[Sighting]
    holds: Sequence[Hold]
    certificates: Sequence[Certificate]
    told: Sequence[Notice]
    catalogue: Catalogue
    replayed: bool = False

    @property
    def loads_at_risk(self) -> list[UUID]:
        """The loads at risk that somebody was told of."""
        told = {notice.subject_id for notice in self.told if notice.kind == NoticeKind.LOAD_AT_RISK}
        return sorted(subject for subject in told if subject is not None)

    @property
    def people(self) -> tuple[list[str], list[str]]:
        """The names of those who are told at once of what was found, and of those whom no message can reach."""
        reached = {notice.person.name: _reached(notice) for notice in self.told if notice.urgent}
        return (
            sorted(name for name, told in reached.items() if told),
            sorted(name for name, told in reached.items() if not told),
        )


def _reached(notice: Any) -> bool:
    """`posted` stands on every notice that was just owed or read for a receipt."""
    return can_be_told(notice.person, posted=notice.posted)


def stored_receipt(walkaround: Walkaround, *, now: datetime) -> Receipt:
    """The receipt of a stored walk-around, in six statements, worded by the catalogue in force now."""
    reports = list(Report.objects.filter(walkaround=walkaround).select_related("unit").order_by("position"))
    sightings = list(
        Sighting.objects.filter(report__in=reports).select_related("defect", "defect__unit").order_by("pk")
    )
    defects = {sighting.defect_id for sighting in sightings}
    # Those that stood when it came in, whatever became of them since.
    holds = list(
        Hold.objects.filter(defect_id__in=defects, recorded_at__lte=walkaround.received_at)
        .exclude(lifted_at__lte=walkaround.received_at)
        .select_related("defect")
        .order_by("number")
    )
    units = [report.unit_id for report in reports if report.unit_id]
    certificates = list(
        Certificate.objects.filter(
            corrected_on_the_spot=True,
            signature__signer_id=walkaround.person_id,
            recorded_at=walkaround.received_at,
            defect__unit_id__in=units,
        )
        .select_related("defect")
        .order_by("pk")
    )
    trailers = Mounting.objects.filter(cooling_unit_id__in=units).values("trailer_id")
    at_risk = Q(kind=NoticeKind.LOAD_AT_RISK) & (Q(unit_id__in=units) | Q(unit_id__in=trailers))
    told = list(
        Notice.objects.filter(
            at_risk | Q(subject_id__in=[*(hold.pk for hold in holds), *defects, *(report.pk for report in reports)]),
            owed_at=walkaround.received_at,
        )
        .select_related("person")
        .annotate(posted=open_webhook("person_id"))
        .order_by("pk")
    )
    catalogue = catalogue_in_force(standing_policies(now=now).policies)
    return Receipt(walkaround, reports, sightings, holds, certificates, told, catalogue, replayed=True)
