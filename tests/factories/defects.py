"""What happens to a defect, done over HTTP or through services by people of the demo carrier. Plain by default."""

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import factory
from factory.django import DjangoModelFactory

from common import clock
from common.ids import uuid7
from defects.enums import Authority, Bars, DefectState, Listing, Severity
from defects.models import Defect, Hold, Measurement, Photo
from fleet.models import Person, StoredFile, Unit
from tests.factories.fleet import NOON
from tests.support.ninefold import person
from tests.support.walks import body, check, client, put, stroke

STROKE = "brakes.service.pushrod-stroke"
TURN_LAMPS = "lamps.trailer.turn"
PLATE_LAMP = "lamps.trailer.plate"
TRAILER = "LR-46"
MINUTE = timedelta(minutes=1)


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


def signature(at: datetime | None = None, **more: Any) -> dict[str, Any]:
    """A signature drawn now."""
    return {"method": "drawn", "signed_at": (at or clock.now()).isoformat(), "shown": "I sign.", **more}


def unit(number: str = TRAILER) -> Unit:
    return Unit.objects.get(number=number, owner="")


def walk_in(username: str, checks: list[dict[str, Any]], *, number: str = TRAILER, at: datetime | None = None) -> Any:
    """The answer to a walk-around of one unit, a minute ago unless said otherwise."""
    finished = at or clock.now() - MINUTE
    return put(client(username), body([{"unit": number, "checks": checks}], finished_at=finished))


def held_stroke(username: str = "iris", value: str = "2.31", *, number: str = TRAILER) -> Defect:
    """A brake over its limit, as a driver reports it: the carrier holds the unit."""
    found = walk_in(username, [stroke("axle-2-right", value)], number=number)["units"][0]["found"]
    return Defect.objects.get(pk=found[0]["id"])


def lamp_out(username: str = "iris", *, number: str = TRAILER) -> Defect:
    """The plate's lamp out, as a driver reports it: a statement proves its repair."""
    found = walk_in(username, [check(PLATE_LAMP, "", "defect")], number=number)["units"][0]["found"]
    return Defect.objects.get(pk=found[0]["id"])


def told_in_words(username: str = "iris", text: str = "knocks when turning", *, number: str = TRAILER) -> Defect:
    """A fault without a point, which a foreman must grade."""
    walk = body([{"unit": number, "faults": [{"text": text}]}], finished_at=clock.now() - MINUTE)
    found = put(client(username), walk)["units"][0]["found"]
    return Defect.objects.get(pk=found[0]["id"])


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


class Hand:
    """One person's device at work on defects and holds, sending the version it saw."""

    def __init__(self, username: str) -> None:
        self.username = username
        self.client = client(username)

    def page(self, defect: Defect) -> Any:
        return self.client.get(f"/api/v1/defects/{defect.number}")

    def do(self, defect: Defect, action: str, given: dict[str, Any], *, tag: str | None = None) -> Any:
        return self.send(f"/api/v1/defects/{defect.number}", action, given, tag)

    def certify(self, defect: Defect, **given: Any) -> Any:
        """Certify it repaired, by oneself, unless a kind is given."""
        said = {"kind": "repaired", "statement": "Slack adjuster replaced", "signature": signature()}
        return self.do(defect, "certify", {**said, "worked_by": [str(person(self.username).pk)], **given})

    def lift(self, hold: Hold, **given: Any) -> Any:
        return self.send(f"/api/v1/holds/{hold.number}", "lift", {"signature": signature(), **given}, None)

    def send(self, path: str, action: str, given: dict[str, Any], tag: str | None) -> Any:
        seen = self.client.get(path)
        assert seen.status_code == 200, seen.content
        return self.post(f"{path}/{action}", given, HTTP_IF_MATCH=tag or seen.headers["ETag"])

    def post(self, path: str, given: dict[str, Any], **headers: Any) -> Any:
        key: dict[str, Any] = {"HTTP_IDEMPOTENCY_KEY": str(uuid7())}
        return self.client.post(path, given, format="json", **key, **headers)


def owed(username: str, *units: str) -> Any:
    """What the person owes a review of for these units."""
    answer = client(username).get("/api/v1/driver-reviews/owed", {"unit": list(units)})
    assert answer.status_code == 200, answer.content
    return answer.json()


def review(username: str, *units: str, owes: dict[str, Any] | None = None, key: str | None = None) -> Any:
    """Sign for exactly what is owed, or for what was seen before."""
    seen = owes or owed(username, *units)
    return client(username).post(
        "/api/v1/driver-reviews",
        {
            "id": key or str(uuid7()),
            "units": list(units),
            "reports": [report["id"] for item in seen["units"] for report in item["reports"]],
            "certificates": [certificate["id"] for item in seen["units"] for certificate in item["certificates"]],
            "signature": signature(),
        },
        format="json",
    )


def reviewed(username: str, *units: str) -> Any:
    """A signed review of exactly what is owed."""
    answer = review(username, *units)
    assert answer.status_code == 201, answer.content
    return answer.json()


__all__ = ["Hand", "check", "client", "held_stroke", "lamp_out", "owed", "person", "put", "review", "stroke", "walk_in"]
