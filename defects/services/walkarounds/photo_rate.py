"""How fast one person's photos are taken in: a device that sends many at once waits a little, and none is dropped."""

import math
from datetime import datetime, timedelta

from django.db.models import Count, Min, Sum

from common.errors import TooOften
from defects.models import Photo
from fleet.models import Person

WITHIN = timedelta(minutes=10)
MOST_PHOTOS = 150
MOST_BYTES = 300 * 1024 * 1024
"""A driver's day of walk-arounds sent at once, after hours without signal, is some fifty photos of four megabytes."""


def refuse_too_fast(actor: Person, now: datetime) -> None:
    """TooOften `photos_too_fast` once a person has had what is taken in ten minutes, until the first is that old."""
    lately = Photo.objects.filter(received_from=actor, received_at__gt=now - WITHIN)
    had = lately.aggregate(photos=Count("pk"), size=Sum("original__size", default=0), first=Min("received_at"))
    if had["photos"] < MOST_PHOTOS and had["size"] < MOST_BYTES:
        return
    wait: timedelta = had["first"] + WITHIN - now
    raise TooOften("photos_too_fast", retry_after=max(math.ceil(wait.total_seconds()), 1))
