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

from tests.benchmarks.peer.models import Point, Unit  # noqa: E402

walk_lists: list[dict[str, Any]] = json.load(sys.stdin)
units = [unit for walk_list in walk_lists for unit in walk_list["units"]]
Unit.objects.bulk_create(Unit(number=unit["number"], kind=unit["kind"]) for unit in units)
kinds = {unit["number"]: unit["kind"] for unit in units}
legs = {
    (leg["unit"], stop["point"], place): leg["leg"]
    for leg in walk_lists[0]["legs"]
    for stop in leg["stops"]
    for place in stop["places"]
}
Point.objects.bulk_create(
    Point(
        kind=kinds[stop["unit"]],
        code=stop["point"],
        place=place["place"],
        leg=legs[stop["unit"], stop["point"], place["place"]],
        by_leg=place["answered_by"] == "leg",
        asked=stop["may_answer"] and stop["often"] == "every_walk",
        minimum=stop["measure"] and stop["measure"]["minimum"],
        maximum=stop["measure"] and stop["measure"]["maximum"],
    )
    for stop in walk_lists[0]["points"]
    for place in stop["places"]
)
sys.stdout.write(Token.objects.create(user=User.objects.create_user("driver")).key)
