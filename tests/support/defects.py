"""What people of the demo carrier do to defects and holds, over HTTP. Plain by default."""

from datetime import datetime, timedelta
from typing import Any

from common import clock
from common.ids import uuid7
from defects.models import Defect, Hold
from fleet.models import Unit
from tests.support.acting import acting_as
from tests.support.ninefold import person
from tests.support.walks import body, check, put, stroke

TURN_LAMPS = "lamps.trailer.turn"
PLATE_LAMP = "lamps.trailer.plate"
TRAILER = "LR-46"
MINUTE = timedelta(minutes=1)


def signature(at: datetime | None = None, **more: Any) -> dict[str, Any]:
    """A signature drawn now."""
    return {"method": "drawn", "signed_at": (at or clock.now()).isoformat(), "shown": "I sign.", **more}


def unit(number: str = TRAILER) -> Unit:
    return Unit.objects.get(number=number, owner="")


def walk_in(username: str, checks: list[dict[str, Any]], *, number: str = TRAILER, at: datetime | None = None) -> Any:
    """The answer to a walk-around of one unit, a minute ago unless said otherwise."""
    finished = at or clock.now() - MINUTE
    return put(acting_as(username), body([{"unit": number, "checks": checks}], finished_at=finished))


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
    found = put(acting_as(username), walk)["units"][0]["found"]
    return Defect.objects.get(pk=found[0]["id"])


def certify(username: str, defect: Defect, **given: Any) -> Any:
    """The answer to certifying it repaired, by oneself, unless a kind is given."""
    said = {"kind": "repaired", "statement": "Slack adjuster replaced", "signature": signature()}
    body = {**said, "worked_by": [str(person(username).pk)], **given}
    return acting_as(username).act(f"defects/{defect.number}", "certify", body)


def certified(username: str, defect: Defect, **given: Any) -> None:
    """It is, as it must be."""
    answer = certify(username, defect, **given)
    assert answer.status_code == 200, answer.content


def lift(username: str, hold: Hold, **given: Any) -> Any:
    """The answer to lifting it."""
    return acting_as(username).act(f"holds/{hold.number}", "lift", {"signature": signature(), **given})


def owed(username: str, *units: str) -> Any:
    """What the person owes a review of for these units."""
    answer = acting_as(username).get("driver-reviews/pending", unit=list(units))
    assert answer.status_code == 200, answer.content
    return answer.json()


def review(username: str, *units: str, owes: dict[str, Any] | None = None, key: str | None = None) -> Any:
    """Sign for exactly what is owed, or for what was seen before."""
    seen = owes or owed(username, *units)
    return acting_as(username).post(
        "driver-reviews",
        {
            "id": key or str(uuid7()),
            "units": list(units),
            "reports": [report["id"] for item in seen["units"] for report in item["reports"]],
            "certificates": [certificate["id"] for item in seen["units"] for certificate in item["certificates"]],
            "signature": signature(),
        },
    )


def reviewed(username: str, *units: str) -> Any:
    """A signed review of exactly what is owed."""
    answer = review(username, *units)
    assert answer.status_code == 201, answer.content
    return answer.json()
