"""Defects and what hangs on them, as rows: valid and plain by default."""

from datetime import datetime, timedelta
from decimal import Decimal

import factory

from common import clock
from defects import models
from defects.enums import Authority, Bars, ClearanceAnswer, DefectState, Listing, Severity, TemperatureClass
from fleet.models import Person
from tests.factories.fleet import StoredFileFactory
from tests.factories.tables import NOON, TableFactory, factory_of

STROKE = "brakes.service.pushrod-stroke"


class DefectFactory(TableFactory[models.Defect]):
    """A turn lamp out, at a position of its own; with `stroke` a brake over the limit of long-stroke type 24."""

    class Meta:
        model = models.Defect

    class Params:
        stroke = factory.Trait(
            point=STROKE,
            place="axle-2-right",
            severity=Severity.DO_NOT_MOVE,
            value=Decimal("2.31"),
            unit_of_measure="in",
            limit="type-24-long",
            limit_value=Decimal(2),
            counts_as_service_brake=True,
        )

    point: str | None = "lamps.trailer.turn"
    place = factory.Sequence(lambda number: f"{number + 1}")
    authority = Authority.STATUTORY
    listing = Listing.SAFETY
    severity = Severity.BEFORE_NEXT_USE
    bars = Bars.MOVEMENT
    state = DefectState.REPORTED
    rule = factory.LazyAttribute(lambda defect: f"{defect.point}#test")
    text = factory.LazyAttribute(lambda defect: "" if defect.point else "knocks when turning")
    found_at = NOON - timedelta(hours=1)


CatalogueVersionFactory = factory_of(models.CatalogueVersion, one_for_each=("content_hash",), document="{}")
WalkaroundFactory = factory_of(models.Walkaround, offset_minutes=-360, skew_seconds=0)
ReportFactory = factory_of(models.Report, checks=[], given_unit="LR-46")
SetAsideFactory = factory_of(models.SetAside)
SentBodyFactory = factory_of(models.SentBody)
MeasurementFactory = factory_of(models.Measurement, point=STROKE, unit_of_measure="in")
TireMountingFactory = factory_of(models.TireMounting, casing=factory.Sequence(lambda number: f"DOT-{number}"))
PhotoFactory = factory_of(
    models.Photo, defect=factory.SubFactory(DefectFactory), original=factory.SubFactory(StoredFileFactory)
)
SightingFactory = factory_of(models.Sighting)
HoldFactory = factory_of(models.Hold)
CertificateFactory = factory_of(models.Certificate, statement="Slack adjuster replaced, stroke 1.62 in")
RepeatedTestFactory = factory_of(models.RepeatedTest)
EntryInErrorFactory = factory_of(models.EntryInError)
DriverReviewFactory = factory_of(models.DriverReview)
RefusalFactory = factory_of(models.Refusal, reason="free play", copy="the copy", copy_hash="0" * 64)
SecondLookFactory = factory_of(models.SecondLook)
YardMoveFactory = factory_of(models.YardMove)
LimitedMoveFactory = factory_of(models.LimitedMove, ends_at=NOON + timedelta(hours=2))
WorkInProgressFactory = factory_of(models.WorkInProgress)
SigningLinkFactory = factory_of(models.SigningLink)
FirmConfirmationFactory = factory_of(models.FirmConfirmation)
RoadsideInspectionFactory = factory_of(models.RoadsideInspection, officer="Trooper Finch", us_state="IA", level=1)
RoadsideViolationFactory = factory_of(models.RoadsideViolation)
LoadFactory = factory_of(models.Load, temperature_class=TemperatureClass.DRY)
ScaleTicketFactory = factory_of(models.ScaleTicket, scale="the scale by the river", groups=[{"axles": 5, "lb": 70_000}])
LoadTemperatureFactory = factory_of(models.LoadTemperature)
LoadAtRiskFactory = factory_of(models.LoadAtRisk, defect=factory.SubFactory(DefectFactory))
RiskEntryFactory = factory_of(models.RiskEntry)
ClearanceFactory = factory_of(
    models.Clearance,
    arrival=NOON + timedelta(hours=10),
    answer=ClearanceAnswer.NOTHING_KNOWN_AGAINST,
    reasons=[],
    unknown=[],
)
ClearanceChangeFactory = factory_of(models.ClearanceChange)
ActiveBarFactory = factory_of(models.ActiveBar)


def measure(defect: models.Defect, value: str, by: Person, *, at: datetime | None = None) -> models.Measurement:
    """A value read off at the defect's point and place."""
    return MeasurementFactory.create(
        unit_id=defect.unit_id,
        point=defect.point,
        place=defect.place,
        value=value,
        unit_of_measure=defect.unit_of_measure or "in",
        measured_at=at or clock.now(),
        person=by,
    )


def photo_of(
    defect: models.Defect, sha256: str = "a" * 64, received_at: datetime | None = None, *, is_picture: bool = True
) -> models.Photo:
    """A photo stored on the defect, now unless said otherwise, as far as the database goes."""
    return PhotoFactory.create(
        defect=defect,
        original__sha256=sha256,
        original__stored_at=clock.now(),
        is_picture=is_picture,
        received_at=received_at or clock.now(),
        received_from=defect.found_by,
    )
