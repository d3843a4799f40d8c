"""The driver vehicle inspection reports with the driver's signature, the carrier's certificates and the next review."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from typing import Any

from django.db.models import OuterRef, Prefetch, Subquery
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from defects.enums import Listing
from defects.messages.defects import LISTINGS, SEVERITIES
from defects.messages.walkarounds.reports import LEGS, WALKAROUND_KINDS
from defects.models import Certificate, DriverReview, Photo, Report, SentBody, SetAside, Sighting
from defects.selectors.defects.naming import names_of_defect
from defects.selectors.records.unit_file.certificates import certificate_record, certified, review_record
from defects.selectors.walkarounds.photos import names
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record, signature_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section


def read(scope: FileScope) -> Iterator[Record]:
    """Every report on the unit, oldest first, whole as it was signed.

    `as_sent` is the text of the whole walk-around where it had to be read otherwise than the phone sent it.
    """
    sent = SentBody.objects.filter(pk=OuterRef("walkaround_id")).values("text")
    reports = (
        Report.objects.filter(scope.within("performed_at"), unit=scope.unit)
        .annotate(as_sent=Subquery(sent[:1]))
        .select_related("walkaround__person", "walkaround__team_mate", "walkaround__site", "unit_assigned_by")
        .select_related("signature__signer", "signature__token_owner")
        .select_related("set_aside__signature__signer", "set_aside__signature__token_owner")
        .prefetch_related(
            Prefetch("sightings", Sighting.objects.select_related("defect").order_by("defect__number", "pk")),
            Prefetch("sightings__defect__certificates", _certificates()),
            Prefetch("driver_reviews", _reviews()),
            Prefetch("walkaround__photos", Photo.objects.order_by("pk")),
        )
    )
    for report in reports.order_by("performed_at", "pk").iterator(CHUNK):
        yield {**_report(report), "as_sent": report.as_sent}


def _certificates() -> Any:
    rows = Certificate.objects.select_related("signature__signer", "signature__token_owner", "measurement")
    return rows.prefetch_related("worked_by").order_by("certified_at", "pk")


def _reviews() -> Any:
    rows = DriverReview.objects.select_related("signature__signer", "signature__token_owner")
    return rows.order_by("reviewed_at", "pk")


def _report(report: Report) -> Mapping[str, Any]:
    walk = report.walkaround
    received = {photo.original_id: photo.is_picture for photo in walk.photos.all()}
    return {
        "id": report.pk,
        "walkaround": walk.pk,
        "kind": walk.kind,
        "driver": person_record(walk.person),
        "team_mate": person_record(walk.team_mate),
        "site": None if walk.site is None else walk.site.name,
        "given_unit": report.given_unit,
        "unit_assigned_by": person_record(report.unit_assigned_by),
        "unit_assigned_at": report.unit_assigned_at,
        "started_at": walk.started_at,
        "finished_at": walk.finished_at,
        "performed_at": report.performed_at,
        "received_at": walk.received_at,
        "skew_seconds": walk.skew_seconds,
        "conditions": walk.conditions,
        "catalogue": walk.catalogue_id,
        "checks_schema": report.checks_schema,
        "checks": report.checks,
        "faults": report.faults,
        "looked_at": report.looked_at,
        "places_required": report.places_required,
        "places_covered": report.places_covered,
        "left_open": report.left_open,
        "flags": [*report.flags, *walk.flags],
        "review_due": report.review_due,
        "signature": signature_record(report.signature),
        "set_aside": _set_aside(getattr(report, "set_aside", None)),
        "found": [_found(sighting) for sighting in report.sightings.all() if not _is_noted(sighting)],
        "noted": [_found(sighting) for sighting in report.sightings.all() if _is_noted(sighting)],
        "reviews": [review_record(review) for review in report.driver_reviews.all()],
        "photos": [
            {"sha256": sha256, "received": sha256 in received, "is_picture": received.get(sha256)}
            for sha256 in sorted(names(report))
        ],
    }


def _set_aside(row: SetAside | None) -> Mapping[str, object] | None:
    return None if row is None else {"reason": row.reason, "signature": signature_record(row.signature)}


def _is_noted(sighting: Sighting) -> bool:
    return sighting.defect.listing == Listing.NOTED


def _found(sighting: Sighting) -> Mapping[str, object]:
    defect = sighting.defect
    return {
        "defect": defect.number,
        "what": names_of_defect(defect),
        "how": sighting.how,
        "severity": sighting.severity,
        "authority": defect.authority,
        "listing": defect.listing,
        "value": sighting.value,
        "unit_of_measure": sighting.unit_of_measure,
        "note": sighting.note,
        "heard_from": sighting.heard_from,
        "heard_at": sighting.heard_at,
        "certificates": [certificate_record(certificate) for certificate in defect.certificates.all()],
    }


def rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """A line for each fault on the certified list, one for all that was only noted, one where nothing was found.

    The legs stand once for each report.
    """
    walk = f"{words.instant(record['performed_at'])}\n{words.label(WALKAROUND_KINDS, record['kind'])}"
    signed = words.signature(record["signature"])
    if aside := record["set_aside"]:
        said = _("Set aside: {reason}").format(reason=aside["reason"])
        signed = f"{signed}\n{said}\n{words.signature(aside['signature'])}"
    reviewed = "\n".join(words.signature(review["signature"]) for review in record["reviews"])
    if not reviewed:
        reviewed = _("review not signed") if record["review_due"] else _("none pending")
    looked = looked_at(record, words)
    if not record["found"] and not record["noted"]:
        yield walk, signed, f"{nothing_found(record)}\n{looked}".rstrip(), "", reviewed
    for found in record["found"]:
        said = f"{found['defect']}: {words.either(found['what'])}\n{words.label(SEVERITIES, found['severity'])}"
        if found["heard_from"]:
            said += "\n" + _("told by: {who}").format(who=found["heard_from"])
        certificates = "\n".join(certified(certificate, words) for certificate in found["certificates"])
        yield walk, signed, f"{said}\n{looked}".rstrip(), certificates or _("no certificate"), reviewed
        looked = ""
    if record["noted"]:
        said = "\n".join(f"{found['defect']}: {words.either(found['what'])}" for found in record["noted"])
        of_noted = [certified(each, words) for found in record["noted"] for each in found["certificates"]]
        heading = words.label(LISTINGS, Listing.NOTED)
        yield walk, signed, f"{heading}\n{said}\n{looked}".rstrip(), "\n".join(of_noted) or _("none needed"), ""


def nothing_found(record: Record) -> str:
    """How many points have an answer; the absence of a finding is never read as an inspection."""
    if record["checks_schema"] == Report.CHECKS_DELETED:
        return _("No defect found or reported. The checks were purged after their retention.")
    corrected = sum(check["answer"] == "corrected" for check in record["checks"])
    if corrected:
        return _("No defect left. {corrected} corrected on the spot.").format(corrected=corrected)
    if not record["places_required"]:
        return _("No defect found or reported.")
    without = sum(row["required"] for row in record["left_open"])
    answered, required = record["places_required"] - without, record["places_required"]
    return _("No defect found or reported. {answered} of {required} points have an answer.").format(
        answered=answered, required=required
    )


def looked_at(record: Record, words: Words) -> str:
    """The legs signed for as looked at, with their times by the driver's clock."""
    counted = [row for row in record["looked_at"] if row["counts"]]
    legs = [f"{words.label(LEGS, row['leg'])} {datetime.fromisoformat(row['at']):%H:%M}" for row in counted]
    return _("Checked: {legs}.").format(legs=", ".join(legs)) if legs else ""


def photos(record: Record) -> Iterable[str]:
    """The photos that the signed checks name, whether they came in or not."""
    return (photo["sha256"] for photo in record["photos"])


DRIVER_REPORTS = Section(
    name="driver_reports",
    place=60,
    title=gettext_lazy("Driver vehicle inspection reports"),
    source="49 CFR 396.11, 396.13",
    empty=gettext_lazy("No report is kept of these days."),
    read=read,
    columns=(
        Column(gettext_lazy("When"), 0.18),
        Column(gettext_lazy("Driver's signature"), 0.2),
        Column(gettext_lazy("Found"), 0.24),
        Column(gettext_lazy("The carrier's certificate"), 0.19),
        Column(gettext_lazy("Next driver's review"), 0.19),
    ),
    rows=rows,
    files=photos,
    note=gettext_lazy(
        "No report is required of a day on which nothing was found or reported (49 CFR 396.11(a)(2)(i)). Every "
        "check with its values stands in records/driver_reports.json."
    ),
)
