"""Defects and what hangs on them, as rows: valid and plain by default."""

from datetime import datetime, timedelta
from decimal import Decimal

import factory
from factory.django import DjangoModelFactory

from common import clock
from defects.enums import Authority, Bars, DefectState, Listing, Severity
from defects.models import Defect, Measurement, Photo
from fleet.models import Person, StoredFile
from tests.factories.fleet import NOON

STROKE = "brakes.service.pushrod-stroke"


class DefectFactory(DjangoModelFactory[Defect]):
    """A turn lamp out, at a position of its own; with `stroke` a brake over the limit of long-stroke type 24."""

    class Meta:
        model = Defect

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
    standing = Authority.STATUTORY
    listing = Listing.SAFETY
    severity = Severity.BEFORE_NEXT_USE
    bars = Bars.MOVEMENT
    state = DefectState.REPORTED
    rule = factory.LazyAttribute(lambda defect: f"{defect.point}#test")
    text = factory.LazyAttribute(lambda defect: "" if defect.point else "knocks when turning")
    found_at = NOON - timedelta(hours=1)
    recorded_at = NOON


def measure(defect: Defect, value: str, by: Person, *, at: datetime | None = None) -> Measurement:
    """A value read off at the defect's point and place."""
    return Measurement.objects.create(
        unit_id=defect.unit_id,
        point=defect.point,
        place=defect.place,
        value=value,
        unit_of_measure=defect.unit_of_measure or "in",
        measured_at=at or clock.now(),
        person=by,
    )


def photo_of(
    defect: Defect, sha256: str = "a" * 64, received_at: datetime | None = None, *, is_picture: bool = True
) -> Photo:
    """A photo stored on the defect, now unless said otherwise, as far as the database goes."""
    file, _ = StoredFile.objects.get_or_create(
        sha256=sha256, defaults={"size": 1, "media_type": "image/png", "stored_at": clock.now()}
    )
    return Photo.objects.create(
        defect=defect,
        original=file,
        is_picture=is_picture,
        received_at=received_at or clock.now(),
        received_from=defect.found_by,
    )
