"""Fills the peer's database from walk lists as the service answers them, and prints its driver's token.

`python -m tests.benchmarks.peer.seed` with the walk lists as JSON on standard input.
"""

import json
import sys
from typing import Any

import django

django.setup()

from django.contrib.auth.models import User  # noqa: E402 - after Django is set up
from rest_framework.authtoken.models import Token  # noqa: E402

from fixtures.scenario.walking import places_of  # noqa: E402
from tests.benchmarks.peer.models import Point, Unit  # noqa: E402

walk_lists: list[dict[str, Any]] = json.load(sys.stdin)
units = [unit for walk_list in walk_lists for unit in walk_list["units"]]
Unit.objects.bulk_create(Unit(number=unit["number"], kind=unit["kind"]) for unit in units)
kinds = {unit["number"]: unit["kind"] for unit in units}
Point.objects.bulk_create(
    Point(
        kind=kinds[point["unit"]],
        code=point["point"],
        place=place["place"],
        leg=place["leg"],
        by_leg=place["answered_by"] == "leg",
        asked=point.get("may_answer", True) and "often" not in point,
        minimum=point["measure"].get("minimum", "0") if "measure" in point else None,
        maximum=point.get("measure", {}).get("maximum"),
    )
    for point, place in places_of(walk_lists[0])
)
sys.stdout.write(Token.objects.create(user=User.objects.create_user("driver")).key)
