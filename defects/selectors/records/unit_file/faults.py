"""The sections of defects, of the carrier's certificates (396.11(a)(3)) and of the drivers' reviews (396.13)."""

from collections.abc import Iterable, Iterator, Sequence

from django.db.models import Prefetch
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from defects.enums import bars_until_certified
from defects.messages.defects import AUTHORITIES, DEFECT_STATES, LISTINGS, SEVERITIES, SIGHTINGS
from defects.models import Certificate, Defect, DriverReview, EntryInError, Photo, RepeatedTest, Report, Sighting
from defects.selectors.defects.naming import names_of_defect
from defects.selectors.records.unit_file.certificates import (
    certificate_record,
    certified,
    confirmation_record,
    review_record,
)
from defects.selectors.signing_links import confirmation_of
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record, signature_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section


def read_defects(scope: FileScope) -> Iterator[Record]:
    """Every defect that stood in the days asked for, with each sighting of it."""
    sightings = Sighting.objects.select_related("person").order_by("seen_at", "pk")
    defects = (
        Defect.objects.filter(scope.running("found_at", "closed_at"), unit=scope.unit)
        .select_related("found_by", "comeback_of", "roadside", "entry_in_error__shown_by")
        .select_related("entry_in_error__signature__signer", "entry_in_error__signature__token_owner")
        .prefetch_related(
            Prefetch("sightings", sightings),
            Prefetch("photos", Photo.objects.order_by("pk")),
            Prefetch("repeated_tests", RepeatedTest.objects.select_related("person").order_by("tested_at", "pk")),
        )
    )
    for defect in defects.order_by("number").iterator(CHUNK):
        yield {
            "id": defect.pk,
            "number": defect.number,
            "what": names_of_defect(defect),
            "point": defect.point,
            "place": defect.place,
            "text": defect.text,
            "authority": defect.authority,
            "listing": defect.listing,
            "state": defect.state,
            "severity": defect.severity,
            "bars": bars_until_certified(defect.bars, defect.listing),
            "value": defect.value,
            "limit_value": defect.limit_value,
            "unit_of_measure": defect.unit_of_measure,
            "rule": defect.rule,
            "source": defect.source,
            "found_by": person_record(defect.found_by),
            "found_at": defect.found_at,
            "heard_from": defect.heard_from,
            "heard_at": defect.heard_at,
            "closed_at": defect.closed_at,
            "repair_order": defect.order_number,
            "comeback_of": None if defect.comeback_of is None else defect.comeback_of.number,
            "roadside_report": None if defect.roadside is None else defect.roadside.report_number,
            "photos": [photo.original_id for photo in defect.photos.all()],
            "sightings": [
                {
                    "how": sighting.how,
                    "person": person_record(sighting.person),
                    "seen_at": sighting.seen_at,
                    "report": sighting.report_id,
                    "severity": sighting.severity,
                    "value": sighting.value,
                    "unit_of_measure": sighting.unit_of_measure,
                    "note": sighting.note,
                    "heard_from": sighting.heard_from,
                    "heard_at": sighting.heard_at,
                }
                for sighting in defect.sightings.all()
            ],
            "repeated_tests": [
                {
                    "person": person_record(test.person),
                    "passed": test.passed,
                    "tested_at": test.tested_at,
                    "note": test.note,
                }
                for test in defect.repeated_tests.all()
            ],
            "entered_in_error": _entry(getattr(defect, "entry_in_error", None)),
        }


def _entry(entry: EntryInError | None) -> Record | None:
    if entry is None:
        return None
    return {
        "reason": entry.reason,
        "signature": signature_record(entry.signature),
        "shown_by": person_record(entry.shown_by),
        "shown_how": entry.shown_how,
    }


def defect_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """The fault, how bad it is, who found it when, and how far it is."""
    grade = "\n".join(
        (
            words.label(SEVERITIES, record["severity"]),
            words.label(AUTHORITIES, record["authority"]),
            words.label(LISTINGS, record["listing"]),
        )
    )
    found = [f"{words.instant(record['found_at'])}\n{words.person(record['found_by'])}"]
    if record["heard_from"]:
        found.append(_("told by: {who}").format(who=record["heard_from"]))
        found += [words.instant(record["heard_at"])] if record["heard_at"] else []
    found += [
        f"{words.label(SIGHTINGS, seen['how'])}: {words.instant(seen['seen_at'])}" for seen in record["sightings"][1:]
    ]
    state = words.label(DEFECT_STATES, record["state"])
    closed = words.instant(record["closed_at"])
    error = record["entered_in_error"]
    ended = "" if error is None else f"{words.signature(error['signature'])}\n{error['reason']}"
    said = "\n".join(filter(None, (words.either(record["what"]), record["source"])))
    yield str(record["number"]), said, grade, "\n".join(found), "\n".join(filter(None, (state, closed, ended)))


def read_certificates(scope: FileScope) -> Iterator[Record]:
    """Every certificate of the days asked for, superseded ones too."""
    certificates = (
        Certificate.objects.filter(scope.within("certified_at"), defect__unit=scope.unit)
        .select_related("defect", "signature__signer", "signature__token_owner", "measurement", "repeated_test__person")
        .select_related("link")
        .prefetch_related("worked_by")
    )
    for certificate in certificates.order_by("certified_at", "pk").iterator(CHUNK):
        in_force = certificate.pk == certificate.defect.current_certificate_id
        named = {"defect": certificate.defect.number, "what": names_of_defect(certificate.defect)}
        word = confirmation_of(certificate)
        confirmed = None if word is None else confirmation_record(word)
        yield {**certificate_record(certificate), **named, "in_force": in_force, "firm_confirmed": confirmed}


def certificate_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """Which defect, what was certified by whom, what was said and measured, and who did the work."""
    said = [record["statement"]]
    if after := words.measured(record["measured_after"]):
        said.append(_("measured afterwards: {value}").format(value=after))
    if record["firm"]:
        said.append(_("signed by a link for {firm}").format(firm=record["firm"]))
        said.append(_firm_confirmed(record["firm_confirmed"], words))
    if record["brake_evidence"]:
        said.append(_("evidence of qualification for brakes kept by: {who}").format(who=record["brake_evidence"]))
    if test := record["repeated_test"]:
        said.append(_("test repeated by {name}").format(name=words.person(test["person"])))
    if record["corrected_on_the_spot"]:
        said.append(_("corrected on the spot"))
    if record["agent_reason"]:
        said.append(_("signed by a driver as the carrier's agent: {reason}").format(reason=record["agent_reason"]))
    workers = "\n".join(words.person(person) for person in record["worked_by"])
    force = "" if record["in_force"] else _("no longer in force")
    defect = f"{record['defect']} {words.either(record['what'])}"
    yield defect, f"{certified(record, words)}\n{force}".rstrip(), "\n".join(said), workers


def _firm_confirmed(confirmed: Record | None, words: Words) -> str:
    if confirmed is None:
        return _("firm not confirmed")
    return _("firm confirmed by {name}: {how}").format(name=words.person(confirmed["by"]), how=confirmed["how"])


def certificate_photos(record: Record) -> Iterable[str]:
    return filter(None, [record["photo"]])


def read_reviews(scope: FileScope) -> Iterator[Record]:
    """Every driver's review of the days asked for, with what it covered."""
    reviews = (
        DriverReview.objects.filter(scope.within("reviewed_at"), unit=scope.unit)
        .select_related("signature__signer", "signature__token_owner")
        .prefetch_related(
            Prefetch("reports", Report.objects.defer("checks").order_by("performed_at", "pk")),
            Prefetch("certificates", Certificate.objects.select_related("defect").order_by("certified_at", "pk")),
        )
    )
    for review in reviews.order_by("reviewed_at", "pk").iterator(CHUNK):
        yield {
            **review_record(review),
            "reports": [{"id": row.pk, "performed_at": row.performed_at} for row in review.reports.all()],
            "certificates": [{"id": row.pk, "defect": row.defect.number} for row in review.certificates.all()],
        }


def review_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """Who signed, which reports and which certificates were seen."""
    reports = "\n".join(words.instant(row["performed_at"]) for row in record["reports"])
    defects = ", ".join(str(row["defect"]) for row in record["certificates"])
    yield words.signature(record["signature"]), reports, defects


DEFECTS = Section(
    name="defects",
    place=70,
    title=gettext_lazy("Defects"),
    source="49 CFR 396.3(b)(3), 396.11",
    empty=gettext_lazy("No defect is recorded in these days."),
    read=read_defects,
    columns=(
        Column(gettext_lazy("No."), 0.08),
        Column(gettext_lazy("What"), 0.34),
        Column(gettext_lazy("Severity"), 0.17),
        Column(gettext_lazy("Found"), 0.23),
        Column(gettext_lazy("State"), 0.18),
    ),
    rows=defect_rows,
    files=lambda record: record["photos"],
)
CERTIFICATES = Section(
    name="certificates",
    place=80,
    title=gettext_lazy("Certificates of repair"),
    source="49 CFR 396.11(a)(3)",
    empty=gettext_lazy("No certificate was signed in these days."),
    read=read_certificates,
    columns=(
        Column(gettext_lazy("Defect"), 0.09),
        Column(gettext_lazy("Certified"), 0.3),
        Column(gettext_lazy("Statement"), 0.4),
        Column(gettext_lazy("Worked, signed, entered"), 0.21),
    ),
    rows=certificate_rows,
    files=certificate_photos,
)
DRIVER_REVIEWS = Section(
    name="driver_reviews",
    place=90,
    title=gettext_lazy("Driver reviews"),
    source="49 CFR 396.13",
    empty=gettext_lazy("No driver review was signed in these days."),
    read=read_reviews,
    columns=(
        Column(gettext_lazy("Signed by"), 0.4),
        Column(gettext_lazy("Reports of"), 0.35),
        Column(gettext_lazy("Certificates to defects"), 0.25),
    ),
    rows=review_rows,
)
