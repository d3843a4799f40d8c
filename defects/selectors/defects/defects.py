"""Defects for reading: the rows of a list, one by what people call it, and everything one defect's page shows."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet

from common.errors import Conflict, or_not_found
from common.ids import lookup_of
from defects.enums import OPEN_DEFECT_STATES, Evidence, Severity
from defects.models import Certificate, Defect, EntryInError, Hold, Photo, RepeatedTest, Report, Sighting
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.certificates import evidence_for
from fleet.models import Unit


def defect_rows() -> QuerySet[Defect]:
    """Defects with the unit, the finder, the certificate in force and their comebacks, in two statements."""
    comebacks = Prefetch("comebacks", Defect.objects.only("number", "comeback_of").order_by("number"))
    rows = Defect.objects.select_related("unit", "found_by", "current_certificate", "comeback_of")
    return rows.prefetch_related(comebacks)


def found_or_seen_by(person_id: UUID) -> Q:
    """What finds the defects that a person reported, first or again."""
    return Q(found_by_id=person_id) | Q(pk__in=Sighting.objects.filter(person_id=person_id).values("defect_id"))


def defect_key(ref: str) -> UUID:
    """The key of the defect that a number or a key names; NotFound `defect_unknown`."""
    return or_not_found(Defect.objects.filter(**_named(ref)).values_list("pk", flat=True).first(), "defect_unknown")


def defects_named(refs: Iterable[str], *, among: QuerySet[Defect] | None = None) -> Mapping[str, UUID]:
    """The key of the defect that each number or key names, in one statement; what names none is absent."""
    wanted = {ref: lookup for ref in refs if (lookup := lookup_of(ref)) is not None}
    named = Q(pk__in=[])
    for lookup in wanted.values():
        named |= Q(**lookup)
    rows = (Defect.objects.all() if among is None else among).filter(named).values("pk", "number")
    keys = {value: row["pk"] for row in rows for value in row.values()}
    return {ref: keys[called] for ref, lookup in wanted.items() for called in lookup.values() if called in keys}


def refuse_barred(unit: Unit, **_: Any) -> None:
    """Conflict `unit_has_open_defects` for a unit with an open defect or an active hold."""
    open_defects = Defect.objects.filter(unit=unit, state__in=OPEN_DEFECT_STATES)
    if open_defects.exists() or Hold.objects.filter(unit=unit, lifted_at__isnull=True).exists():
        raise Conflict("unit_has_open_defects")


def defect_for_page(ref: str) -> Defect:
    """The defect that a number or a key names, as its page shows it; NotFound `defect_unknown`."""
    return or_not_found(defect_rows().filter(**_named(ref)).first(), "defect_unknown")


@dataclass(frozen=True)
class DefectPage:
    """One defect with all that hangs on it, oldest first."""

    defect: Defect
    sightings: Sequence[Sighting]
    certificates: Sequence[Certificate]
    holds: Sequence[Hold]
    photos_of_reports: Sequence[tuple[UUID, str]]
    photos: Sequence[str]
    tests: Sequence[RepeatedTest]
    entry: EntryInError | None


def defect_page(defect: Defect) -> DefectPage:
    """Read what hangs on a defect, in seven statements.

    `photos_of_reports` are (walk-around, SHA-256) as the signed reports name them; `photos` are stored on the defect.
    """
    sightings = list(
        Sighting.objects.filter(defect=defect)
        .select_related("person", "report", "report__walkaround")
        .order_by("seen_at", "pk")
    )
    certificates = list(
        Certificate.objects.filter(defect=defect)
        .select_related("signature", "signature__signer", "measurement", "superseded_by")
        .prefetch_related("worked_by")
        .order_by("certified_at", "pk")
    )
    holds = list(Hold.objects.filter(defect=defect).order_by("number"))
    of_reports = dict.fromkeys(
        (sighting.report.walkaround_id, sha256)
        for sighting in sightings
        if sighting.report is not None
        for sha256 in photos_named(sighting.report, defect)
    )
    stored = Photo.objects.filter(defect=defect).order_by("received_at", "pk").values_list("original_id", flat=True)
    tests = list(RepeatedTest.objects.filter(defect=defect).select_related("person").order_by("tested_at", "pk"))
    entry = EntryInError.objects.filter(defect=defect).select_related("signature__signer", "shown_by").first()
    return DefectPage(defect, sightings, certificates, holds, list(of_reports), list(stored), tests, entry)


def photos_named(report: Report, defect: Defect) -> list[str]:
    """The hashes that a report names for a defect: those of its check, or of its free-text fault."""
    if not defect.point:
        return [sha256 for fault in report.faults if _says(fault, defect) for sha256 in fault.get("photos", ())]
    named = []
    for check in report.checks:
        if check["point"] == defect.point and check.get("place", "") == defect.place:
            named += check.get("photos", [])
            if "corrected_photo" in check:
                named.append(check["corrected_photo"])
    return named


def evidence_of(defect: Defect, catalogue: Catalogue) -> Evidence:
    """What proves a repair of a defect: more than words if it says do not move, or a hold was ever placed for it.

    Costs a statement only where words would be enough otherwise.
    """
    point = catalogue.get(defect.point)
    evidence = evidence_for(point, grave=True)
    if evidence is evidence_for(point, grave=False):
        return evidence
    grave = defect.severity == Severity.DO_NOT_MOVE or Hold.objects.filter(defect=defect).exists()
    return evidence_for(point, grave=grave)


def points_of_system(catalogue: Catalogue, word: str) -> list[str]:
    """The names of the points of a system, or of a subsystem."""
    return [point.name for point in catalogue.points.values() if word in (point.system, point.subsystem)]


def _says(fault: dict[str, str], defect: Defect) -> bool:
    text, place = fault.get("text", ""), fault.get("place", "")
    return defect.text == (f"{place}: {text}" if place else text)


def _named(ref: str) -> Mapping[str, object]:
    return or_not_found(lookup_of(ref), "defect_unknown")
