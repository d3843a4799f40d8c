"""A small yard in which defects live: two units, its people, and all that may be done there, through services alone."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from common.ids import uuid7
from defects.enums import Authority, Bars, HoldKind, Severity
from defects.models import (
    Certificate,
    Defect,
    DriverReview,
    Hold,
    LimitedMove,
    Photo,
    Refusal,
    Report,
    RoadsideInspection,
    RoadsideViolation,
)
from defects.rules.walkarounds.body import CheckBody, FaultBody
from defects.selectors.holds import defects_under, hold_named, hold_version
from defects.selectors.reviews import due_reviews
from defects.services.certificates.certify import certify_repaired, certify_unnecessary, supersede
from defects.services.defects.errors_in_entry import enter_in_error
from defects.services.defects.evidence import Statement, Until, last_found_at
from defects.services.defects.grading import Described, Grade, grade, regrade
from defects.services.defects.locked import count_change
from defects.services.defects.reopen import reopen
from defects.services.defects.repeated_tests import record_test
from defects.services.holds.lifting import lift_hold
from defects.services.moves import LimitedMoveRequest, allow_limited_move
from defects.services.records.measurements import Measured
from defects.services.records.signatures import Signing
from defects.services.refusals.refusals import refuse_unit
from defects.services.reviews import review_units
from defects.services.signing_links.links import create_link, open_link
from defects.services.signing_links.outside_signing import OutsideSigner, Repaired, sign_by_link
from defects.services.walkarounds.intake import submit_walkaround
from fleet.enums import Role, Scope, SignatureMethod, UnitKind
from fleet.models import Person, Policy, StoredFile, Unit
from tests.factories.fleet import NOON, make_carrier, make_person, make_unit, qualify
from tests.support.submissions import answer_to, fault_told, report_on, submission

STROKE, PLACE = "brakes.service.pushrod-stroke", "axle-2-right"
HORN = "cab.horn"
TAPE = "lamps.trailer.tape-rear"
MINUTE = dt.timedelta(minutes=1)
HOUR = dt.timedelta(hours=1)

BRAKE_AXLE = {
    "dual": True,
    "brake_type": "drum",
    "chamber_type": "24",
    "stroke_class": "long",
    "lining": "two_pads",
    "target_psi": 100,
    "max_psi": 110,
}
OWN_RULE = {
    "rule": "raise_severity",
    "point": STROKE,
    "severity": "do_not_move",
    "reason": "any brake over its limit is do not move",
}


@dataclass
class Yard:
    """The people by their first name, a tractor and a trailer; `now` is moved on by whoever waits."""

    tractor: Unit
    trailer: Unit
    people: dict[str, Person]
    now: dt.datetime = NOON

    def __getitem__(self, name: str) -> Person:
        return self.people[name]

    def later(self, by: dt.timedelta = MINUTE) -> dt.datetime:
        self.now += by
        return self.now

    # What drivers hand in

    def walk(
        self,
        by: str = "iris",
        *,
        checks: Sequence[CheckBody] = (),
        faults: Sequence[FaultBody] = (),
        unit: Unit | None = None,
        at: dt.datetime | None = None,
    ) -> list[Defect]:
        """Hand in a walk-around of one unit, now; the defects that it opened or saw."""
        finished = at or self.later()
        given = submission(finished, reports=[report_on(str(unit or self.trailer), checks, faults)])
        receipt = submit_walkaround(walkaround_id=uuid7(), submission=given, actor=self[by], now=self.now)
        return [Defect.objects.get(pk=sighting.defect_id) for sighting in receipt.sightings]

    def stroke(self, value: str = "2.31", by: str = "iris", **given: Any) -> Defect:
        """A brake over its limit by the regulation; the carrier's own rule makes it do-not-move."""
        return self.walk(by, checks=[stroke_check(value)], **given)[0]

    def fault(self, text: str = "knocks when turning", by: str = "iris") -> Defect:
        return self.walk(by, faults=[fault_told(text)])[0]

    def finding(self, point: str, place: str = "", finding: str = "", by: str = "iris", **given: Any) -> Defect:
        return self.walk(by, checks=[answer_to(point, "defect", place=place, finding=finding)], **given)[0]

    # What the shop does

    def measured(self, value: str = "1.62", unit_of_measure: str = "in") -> Measured:
        """A value read off a minute later."""
        return Measured(Decimal(value), unit_of_measure, self.later())

    def certify(self, defect: Defect, by: str = "greta", **given: Any) -> Certificate:
        self.later()
        return certify_repaired(
            defect_id=defect.pk,
            version=version_of(defect),
            statement=self.statement(self[by], **given),
            actor=self[by],
            now=self.now,
        )

    def repaired_stroke(self, defect: Defect, by: str = "greta", value: str = "1.62", **given: Any) -> Certificate:
        return self.certify(defect, by, measured=self.measured(value), **given)

    def dismiss(self, defect: Defect, by: str = "greta", **given: Any) -> Certificate:
        self.later()
        given.setdefault("until", Until(on=NOON.date() + dt.timedelta(days=8)))
        return certify_unnecessary(
            defect_id=defect.pk,
            version=version_of(defect),
            statement=self.statement(self[by], **given),
            actor=self[by],
            now=self.now,
        )

    def supersede(self, defect: Defect, by: str = "greta", **given: Any) -> Certificate:
        self.later()
        return supersede(
            defect_id=defect.pk,
            version=version_of(defect),
            statement=self.statement(self[by], **given),
            actor=self[by],
            now=self.now,
        )

    def statement(self, signer: Person, *, text: str = "repaired", **given: Any) -> Statement:
        given.setdefault("worked_by", [signer.pk])
        return Statement(text=text, signing=given.pop("signing", None) or self.signing(signer), **given)

    def signing(self, signer: Person, method: SignatureMethod = SignatureMethod.DRAWN) -> Signing:
        return Signing(signer, method, self.now, "I sign.")

    def grade(
        self,
        defect: Defect,
        severity: Severity,
        bars: Bars,
        authority: Authority = Authority.STATUTORY,
        by: str = "hob",
        **described: str,
    ) -> Defect:
        return grade(
            defect_id=defect.pk,
            version=version_of(defect),
            new_grade=Grade(severity, bars),
            authority=authority,
            described=Described(**described),
            reason="looked at it",
            actor=self[by],
            now=self.later(),
        )

    def regrade(self, defect: Defect, severity: Severity, bars: Bars, by: str = "hob", reason: str = "seen") -> Defect:
        return regrade(
            defect_id=defect.pk,
            version=version_of(defect),
            new_grade=Grade(severity, bars),
            reason=reason,
            actor=self[by],
            now=self.later(),
        )

    def in_error(self, defect: Defect, by: str = "hob", **given: Any) -> Defect:
        self.later()
        return enter_in_error(
            defect_id=defect.pk,
            version=version_of(defect),
            reason=given.pop("reason", "wrong wheel"),
            signing=self.signing(self[given.pop("signer", by)]),
            measured=given.pop("measured", None),
            photo=given.pop("photo", ""),
            actor=self[by],
            now=self.now,
        )

    def repeat_test(self, defect: Defect, by: str = "sol", *, passed: bool = True) -> Defect:
        tested_at = self.later()
        return record_test(
            defect_id=defect.pk, passed=passed, note="", tested_at=tested_at, actor=self[by], now=self.now
        )

    def reopen(self, defect: Defect, by: str = "hob", reason: str = "still over") -> Defect:
        return reopen(defect_id=defect.pk, version=version_of(defect), reason=reason, actor=self[by], now=self.later())

    def lift(
        self, hold: Hold, by: str = "hob", reason: str = "", signer: str | None = None, signing: Signing | None = None
    ) -> Hold:
        self.later()
        return lift_hold(
            hold_id=hold.pk,
            version=hold_version_of(hold),
            signing=signing or self.signing(self[signer or by]),
            reason=reason,
            actor=self[by],
            now=self.now,
        )

    def by_link(self, *defects: Defect, maker: str = "sol", **given: Any) -> list[Certificate]:
        """Let Rita of Crookspoke Road Tire sign by a link that somebody makes for these defects."""
        self.later()
        _, token = create_link(defects=[defect.pk for defect in defects], actor=self[maker], now=self.now)
        signer = OutsideSigner(
            **{
                "name": "Rita Sand",
                "firm": "Crookspoke Road Tire",
                "method": SignatureMethod.DRAWN,
                "signed_at": self.later(),
                "shown": "I did this work, and these faults are repaired.",
                **given.pop("signer", {}),
            }
        )
        repaired = [
            Repaired(
                **{
                    "defect": str(defect.number),
                    "statement": "repaired",
                    "photo": photo_on(defect, f"{defect.number:064x}"),
                    **given,
                }
            )
            for defect in defects
        ]
        opened = open_link(token=token, address="192.0.2.1", now=self.now)
        return sign_by_link(link=opened, signer=signer, repairs=repaired, now=self.now)

    # What the next driver does

    def review(self, *units: Unit, by: str = "sol", **given: Any) -> list[DriverReview]:
        """Sign for exactly what is owed, unless told otherwise."""
        self.later()
        chosen = units or (self.trailer,)
        owed = due_reviews(unit.pk for unit in chosen).values()
        rows, _ = review_units(
            act=given.pop("act", None) or uuid7(),
            units=[unit.pk for unit in chosen],
            reports=given.pop("reports", [report.pk for item in owed for report in item.reports]),
            certificates=given.pop("certificates", [document.pk for item in owed for document in item.certificates]),
            signing=given.pop("signing", None) or self.signing(self[given.pop("signer", by)]),
            actor=self[by],
            now=self.now,
        )
        return rows

    def refuse(self, by: str = "sol", *, key: UUID | None = None, reason: str = "free play", **given: Any) -> Refusal:
        self.later()
        refusal, _ = refuse_unit(
            refusal_id=key or uuid7(),
            unit_id=given.pop("unit", self.tractor).pk,
            reason=reason,
            defects=[defect.pk for defect in given.pop("defects", ())],
            signing=self.signing(self[by]),
            actor=self[by],
            now=self.now,
        )
        return refusal

    def allow_move(self, by: str = "hob", **requested: Any) -> LimitedMove:
        given = {
            "found_on_highway": True,
            "found_at_place": "I-80 eastbound, mile 142",
            "to_place": "Crookspoke Road Tire",
            "distance_mi": Decimal("4.5"),
            "why_nearest": "the next one is 31 miles on",
            "why_less_hazardous": "no shoulder, in the dark, in rain",
            "driver": self["sol"],
            "driver_consented_at": self.now,
            "ends_at": self.now + 2 * HOUR,
            **requested,
        }
        return allow_limited_move(
            unit_id=self.trailer.pk, requested=LimitedMoveRequest(**given), actor=self[by], now=self.now
        )

    # What an officer leaves behind

    def officers_order(self, *defects: Defect, unit: Unit | None = None) -> Hold:
        """An order on a unit with these defects on its notification."""
        inspection = RoadsideInspection.objects.create(
            report_number=str(uuid7()),
            inspected_at=self.now,
            officer="Officer 7",
            us_state="IA",
            level=1,
            is_clean=False,
            answer_due_on=self.now.date() + dt.timedelta(days=15),
            received_at=self.now,
            recorded_by=self["vera"],
        )
        for position, defect in enumerate(defects, 1):
            Defect.objects.filter(pk=defect.pk).update(roadside=inspection)
            RoadsideViolation.objects.create(
                inspection=inspection, position=position, unit=defect.unit, defect=defect, out_of_service=True
            )
        return Hold.objects.create(
            unit=unit or self.trailer,
            kind=HoldKind.OFFICER,
            roadside=inspection,
            reason="brakes",
            placed_at=self.now,
            placed_by=self["vera"],
            recorded_at=self.now,
        )


def make_yard() -> Yard:
    """A carrier with its own brake rule, a tractor, a trailer, and everybody who works there."""
    make_carrier()
    people = {
        "iris": make_person("Iris Quade", Role.DRIVER, username="iris"),
        "sol": make_person("Sol Marrin", Role.DRIVER, username="sol"),
        "greta": make_person("Greta Lind", Role.MECHANIC, username="greta"),
        "sam": make_person("Sam Ruy", Role.MECHANIC, username="sam"),
        "nell": make_person("Nell Park", Role.MECHANIC, username="nell"),
        "hob": make_person("Hob Anselm", Role.FOREMAN, username="hob"),
        "ida": make_person("Ida Fell", Role.FOREMAN, username="ida"),
        "vera": make_person("Vera Holt", Role.COMPLIANCE, username="vera"),
        "cal": make_person("Cal Wick", Role.DISPATCH, username="cal"),
        "ann": make_person("Ann Over", Role.ADMINISTRATOR, username="ann"),
        "rita": make_person("Rita Sand", firm="Crookspoke Road Tire"),
        "lone": make_person("Lone Hand"),
    }
    for name in ("greta", "hob"):
        for scope in (Scope.BRAKES_INSPECT, Scope.BRAKES_REPAIR):
            qualify(people[name], scope)
    decide("catalogue_tightening", [OWN_RULE], people["vera"])
    axles = [{"number": number, "role": "trailer", **BRAKE_AXLE} for number in (1, 2)]
    trailer = make_unit(UnitKind.TRAILER, "LR-46", axles=axles)
    return Yard(make_unit(UnitKind.TRACTOR, "NL-15"), trailer, people)


def decide(key: str, value: object, by: Person) -> Policy:
    return Policy.objects.create(key=key, value=value, valid_from=NOON - 72 * HOUR, set_by=by, recorded_at=NOON)


def stroke_check(value: str, answer: str = "defect") -> CheckBody:
    return answer_to(STROKE, answer, place=PLACE, value=value, unit_of_measure="in")


def version_of(defect: Defect) -> int:
    """The version that the defect's page shows now."""
    return Defect.objects.get(pk=defect.pk).version


def hold_version_of(hold: Hold) -> int:
    """The version that the hold's page shows now."""
    found = hold_named(str(hold.pk))
    return hold_version(found, defects_under(found))


def photo_on(defect: Defect, sha256: str = "a" * 64, *, by: Person | None = None, at: dt.datetime | None = None) -> str:
    """A photo stored on a defect, as far as the database goes, right after it was last found; its hash."""
    file, _ = StoredFile.objects.get_or_create(
        sha256=sha256, defaults={"size": 1, "media_type": "image/png", "stored_at": NOON}
    )
    _, new = Photo.objects.get_or_create(
        defect=defect,
        original=file,
        defaults={
            "received_at": at or last_found_at(defect) + dt.timedelta(seconds=1),
            "received_from": by or defect.found_by,
        },
    )
    if new:
        count_change(defect)
    return sha256


def reports_of(unit: Unit) -> list[Report]:
    return list(Report.objects.filter(unit=unit).order_by("performed_at"))
