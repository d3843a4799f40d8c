"""Walk-arounds as phones hand them in, and handing them in inside one process, over HTTP or past it."""

import json
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from common import clock
from common.api.signed_reading import read_signed
from common.canonical import canonical_json, sha256_hex
from common.ids import uuid7
from defects.api.walkarounds.views import submission_of
from defects.api.walkarounds.walk import walk_answer
from defects.enums import Form
from defects.rules.catalogue.closed_sets import Language
from defects.rules.walkarounds.body import WalkaroundBody
from defects.selectors.walkarounds.receipts import Receipt
from defects.selectors.walkarounds.walk import walk_context, walk_units
from defects.services.walkarounds.intake import submit_walkaround
from fixtures.scenario.walking import places_of, whole_walk
from fleet.models import Person, Unit
from tests.support.acting import Device
from tests.support.ninefold import person

UNITS = ("NL-15", "LR-45", "CU-45")
"""A combination of the demo carrier."""


def body(
    reports: Sequence[Mapping[str, Any]], *, finished_at: datetime, kind: str = "pre_trip", **more: Any
) -> dict[str, Any]:
    """A signed walk-around of half an hour."""
    return {
        "kind": kind,
        "started_at": (finished_at - timedelta(minutes=30)).isoformat(),
        "finished_at": finished_at.isoformat(),
        "reports": list(reports),
        "signature": {
            "method": "drawn",
            "signed_at": finished_at.isoformat(),
            "shown": "I looked at these legs and found nothing but what I list.",
        },
        **more,
    }


def walk_list(
    device: Device, tractor: str | None = UNITS[0], trailer: str | None = UNITS[1], form: str = "daily"
) -> Any:
    """What `/walk` lists of a combination, or of one unit alone."""
    named = {name: ref for name, ref in (("tractor", tractor), ("trailer", trailer)) if ref is not None}
    answer = device.get("walk", **named, form=form)
    assert answer.status_code == 200, answer.content
    return answer.json()


def walk_list_of(units: Sequence[Unit], person: Person, *, now: datetime, form: str = "daily") -> dict[str, Any]:
    """The same past HTTP: a tractor with its trailer, or one unit alone."""
    walk = walk_units([str(unit.pk) for unit in units], now=now)
    ground = walk_context(walk, person=person, now=now, coupled=len(units) > 1)
    return walk_answer(ground, Form(form), Language.ENGLISH).sparse()


def dense(listed: Mapping[str, Any]) -> list[tuple[dict[str, Any], dict[str, Any]]]:
    """Each point of a walk list with each of its places, every grade said where it holds."""
    return [
        (
            point,
            {
                "open_defects": [],
                **place,
                "limits": [
                    {"value": None, "low": None, "high": None, **row, **_grade(listed, row["grade"])}
                    for row in place["limits"]
                ],
                "findings": [{"code": code, **_grade(listed, grade)} for code, grade in place["findings"].items()],
            },
        )
        for point, place in places_of(listed)
    ]


def _grade(listed: Mapping[str, Any], number: int) -> dict[str, Any]:
    return {"certain": True, **listed["grades"][number]}


def whole(
    listed: Mapping[str, Any], finished_at: datetime, found: Mapping[str, Sequence[dict[str, Any]]] | None = None
) -> dict[str, Any]:
    """The walk-around of a driver who signed for every leg of a walk list and answered the rest one by one."""
    reports = whole_walk(listed, (finished_at - timedelta(minutes=10)).isoformat(), found)
    given = body(reports, finished_at=finished_at, kind=listed["kind"], catalogue=listed["catalogue"])
    given["form"] = listed["form"]
    given["coupled"] = listed["coupled"]
    given["signature"]["shown"] = listed["to_sign"]
    return given


def put(device: Device, walk: Mapping[str, Any], key: UUID | None = None, *, status: int = 201) -> Any:
    """Hand a walk-around in and return the answer's body; fails on another status."""
    answer = device.put(f"walkarounds/{key or uuid7()}", walk)
    assert answer.status_code == status, answer.content
    return answer.json()


def send(
    device: Device, content: bytes | Mapping[str, Any], key: UUID | None = None, media_type: str = "application/json"
) -> Any:
    """Send what may be no walk-around at all, under a new name unless one is given, and return the answer."""
    return device.send("PUT", f"walkarounds/{key or uuid7()}", content, media_type=media_type)


def check(point: str, place: str = "", answer: str = "fine", **more: Any) -> dict[str, Any]:
    """One answer."""
    return {"point": point, "place": place, "answer": answer, **more}


def stroke(place: str, value: str, answer: str = "defect") -> dict[str, Any]:
    """A measured pushrod stroke in inches."""
    return check("brakes.service.pushrod-stroke", place, answer, value=value, unit_of_measure="in")


def hand_in(username: str, walk: Mapping[str, Any], key: UUID | None = None, *, now: datetime | None = None) -> Receipt:
    """Hand a walk-around in past HTTP, as the view does; what the service raises comes through."""
    return hand_in_as(person(username), walk, key, now=now or clock.now())


def hand_in_as(actor: Person, walk: Mapping[str, Any], key: UUID | None = None, *, now: datetime) -> Receipt:
    """The same of a person who is given."""
    read = read_signed(WalkaroundBody, walk, lambda: UTC)
    submission = submission_of(read, sha256_hex(canonical_json(walk)), json.dumps(walk))
    return submit_walkaround(walkaround_id=key or uuid7(), submission=submission, actor=actor, now=now)
