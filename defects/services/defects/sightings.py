"""Faults found at once: the defects they open, raise or show again, and a sighting of each. The one writer of these.

Walk-arounds, officers' reports and reopened repairs find faults through it. Whether one is new was decided before.
"""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from django.db.models import F

from defects.enums import CertificateKind, SightingHow
from defects.models import CatalogueVersion, Defect, Report, RoadsideInspection, Sighting
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.defects.judgement import COLUMNS, RECORDED, Judgement, judgement_of
from defects.rules.walkarounds.body import HeardBody
from defects.selectors.defects.naming import names_of_defect
from defects.transitions import DEFECTS
from fleet.services.records.unit_of_work import UnitOfWork

EVENTS: Mapping[str, str] = {
    SightingHow.NEW: "defect_reported",
    SightingHow.SEEN_AGAIN: "defect_seen_again",
    SightingHow.RAISED: "defect_raised",
    SightingHow.LATE: "defect_seen_late",
}
"""The kind of history entry by how a defect was seen."""
FOUND_HIMSELF = HeardBody.model_construct()
"""Whoever reports it found it."""
SEEN = tuple(name for name in COLUMNS if hasattr(Sighting, name))
"""What a sighting says of its own."""


class Sightings:
    """What one person found at one instant, on units that `work` has locked. Nothing is stored until `save`."""

    def __init__(
        self, work: UnitOfWork, *, at: datetime, catalogue: str, roadside: RoadsideInspection | None = None
    ) -> None:
        self.new: list[Defect] = []
        self.raised: list[Defect] = []
        self.sightings: list[Sighting] = []
        self._seen: list[Judgement] = []
        self._changed: dict[UUID, Defect] = {}
        self._comebacks: set[UUID] = set()
        self._work, self._at, self._catalogue, self._roadside = work, at, catalogue, roadside

    def open(
        self,
        judgement: Judgement,
        *,
        unit_id: UUID,
        point: str = "",
        place: str = "",
        text: str = "",
        report: Report | None = None,
        comeback_of: UUID | None = None,
        heard: HeardBody = FOUND_HIMSELF,
    ) -> Defect:
        """A new defect; `see` it as well. `comeback_of` is the repaired one of the same fault."""
        defect = Defect(
            unit_id=unit_id,
            point=point,
            place=place,
            text=text,
            catalogue_id=self._catalogue or None,
            report=report,
            roadside=self._roadside,
            found_by=self._work.actor,
            found_at=self._at,
            recorded_at=self._work.now,
            comeback_of_id=comeback_of,
            heard_from=heard.heard_from,
            heard_at=heard.heard_at,
        )
        set_judgement(defect, judgement)
        self.new.append(defect)
        if comeback_of is not None:
            self._comebacks.add(comeback_of)
        return defect

    def change(self, defect: Defect, judgement: Judgement) -> None:
        """What an open defect is judged to be from now on."""
        set_judgement(defect, judgement)
        self._changed[defect.pk] = defect

    def raise_to(self, defect: Defect, judgement: Judgement) -> None:
        """The same for one that was found worse: a certificate of "repair unnecessary" no longer covers it."""
        end_deferral(defect)
        self.change(defect, judgement)
        self.raised.append(defect)

    @property
    def shown(self) -> list[Defect]:
        """Every defect that is shown to exist, once: a late sighting shows one that was repaired since."""
        shown = {seen.defect_id: seen.defect for seen in self.sightings if seen.how != SightingHow.LATE}
        return list(shown.values())

    def see(
        self,
        defect: Defect,
        how: SightingHow,
        judgement: Judgement | None = None,
        *,
        note: str = "",
        report: Report | None = None,
        heard: HeardBody = FOUND_HIMSELF,
    ) -> Sighting:
        """A sighting of a defect, judged as the defect itself where nothing else is said."""
        seen = judgement or judgement_of(defect)
        sighting = Sighting(
            defect=defect,
            report=report,
            person=self._work.actor,
            how=how,
            note=note,
            seen_at=self._at,
            recorded_at=self._work.now,
            heard_from=heard.heard_from,
            heard_at=heard.heard_at,
            **{name: getattr(seen, name) for name in SEEN},
        )
        self.sightings.append(sighting)
        self._seen.append(seen)
        return sighting

    def save(self, *, said: Mapping[str, object] | None = None) -> None:
        """Store everything, each defect that was known in its next version, and note every sighting in the history.

        `said` goes into each entry. Four statements at most.
        """
        if self.new:
            Defect.objects.bulk_create(self.new)
        new = {defect.pk for defect in self.new}
        known = {item.defect_id: item.defect for item in self.sightings if item.defect_id not in new}
        for defect in known.values():
            defect.version += 1
        changed = [defect for key, defect in self._changed.items() if key not in new]
        if changed:
            Defect.objects.bulk_update(
                changed, (*COLUMNS, "text", "state", "current_certificate", "roadside", "version")
            )
        unchanged = (known.keys() | self._comebacks) - self._changed.keys()
        if unchanged:
            Defect.objects.filter(pk__in=unchanged).update(version=F("version") + 1)
        if self.sightings:
            Sighting.objects.bulk_create(self.sightings)
        for sighting, seen in zip(self.sightings, self._seen, strict=True):
            self._record(sighting, seen, said or {})

    def _record(self, sighting: Sighting, seen: Judgement, said: Mapping[str, object]) -> None:
        defect = sighting.defect
        body = {
            "defect": defect.number,
            "fault": names_of_defect(defect),
            "point": defect.point,
            "place": defect.place,
            "text": sighting.note,
            **{name: getattr(seen, name) for name in RECORDED},
            "how": sighting.how,
            **({"heard_from": sighting.heard_from, "heard_at": sighting.heard_at} if sighting.heard_from else {}),
            **said,
        }
        self._work.record(
            defect.unit_id, EVENTS[sighting.how], subject=defect.pk, performed_at=sighting.seen_at, body=body
        )


def set_judgement(defect: Defect, judgement: Judgement) -> None:
    """Set the columns of a judgement; the caller saves them (`COLUMNS`)."""
    for name in COLUMNS:
        setattr(defect, name, getattr(judgement, name))


def store_catalogue(catalogue: Catalogue, *, now: datetime) -> None:
    """Store a catalogue that was never in force before."""
    version = CatalogueVersion(content_hash=catalogue.content_hash, document=catalogue.text, first_used_at=now)
    CatalogueVersion.objects.bulk_create([version], ignore_conflicts=True)


def end_deferral(defect: Defect) -> None:
    """A certificate of "repair unnecessary" no longer covers the defect; nothing happens where none does."""
    certificate = defect.current_certificate
    if certificate is not None and certificate.kind == CertificateKind.REPAIR_UNNECESSARY:
        DEFECTS.follow(defect, "end_deferral")
        defect.current_certificate = None
