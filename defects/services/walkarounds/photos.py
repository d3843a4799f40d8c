"""Taking in photos: of signed walk-arounds, of repairs, of scale tickets. Originals stay as sent."""

import math
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.db.models import Count, Min, Sum

from common.errors import Invalid, TooOften, or_not_found
from defects.models import Defect, Load, Photo, Report, ScaleTicket, Walkaround
from defects.selectors.walkarounds.photos import names
from defects.services.defects.locked import count_change
from defects.services.reviews import close_once_shown
from fleet.models import Person, StoredFile
from fleet.rules.documents.file_types import JPEG, PNG
from fleet.rules.documents.photo_metadata import without_notes
from fleet.services.documents.files import is_lost, store_file
from fleet.services.records.unit_of_work import unit_of_work

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


ALLOWED = frozenset({JPEG, PNG})


@dataclass(frozen=True)
class Sent:
    """A photo as it was sent: its bytes, the SHA-256 in its address, the media type that was declared."""

    content: bytes
    sha256: str
    declared: str


@transaction.atomic
def store_walkaround_photo(*, walkaround_id: UUID, sent: Sent, actor: Person, now: datetime) -> tuple[Photo, bool]:
    """Keep a photo that the signed reports of one's own walk-around name; the row, and whether it is new.

    A file that cannot be opened as a picture is kept as well: a signed report lists it. It proves no repair.
    NotFound `walkaround_unknown`, also for another person's; Invalid `photo_not_named`, TooOften
    `photos_too_fast`, the refusals of `store_file`.
    """
    walkaround = or_not_found(Walkaround.objects.filter(pk=walkaround_id, person=actor).first(), "walkaround_unknown")
    reports = [report for report in Report.objects.filter(walkaround=walkaround) if sent.sha256 in names(report)]
    if not reports:
        raise Invalid("photo_not_named")
    units = {report.unit_id for report in reports if report.unit_id is not None}
    proves = any(check.get("corrected_photo") == sent.sha256 for report in reports for check in report.checks)
    photo = Photo(walkaround=walkaround, received_at=now, received_from=actor)
    return _keep(photo, units, sent, proves_repair=proves, unreadable_too=True)


@transaction.atomic
def store_defect_photo(*, defect_id: UUID, sent: Sent, actor: Person, now: datetime) -> tuple[Photo, bool]:
    """Keep a photo on a defect, for the certificate to name; the row, and whether it is new.

    NotFound `defect_unknown`; TooOften `photos_too_fast`; the refusals of `store_file`.
    """
    defect = or_not_found(Defect.objects.filter(pk=defect_id).first(), "defect_unknown")
    photo = Photo(defect=defect, received_at=now, received_from=actor)
    return _keep(photo, {defect.unit_id}, sent, proves_repair=True, unreadable_too=False)


@transaction.atomic
def store_ticket_photo(*, load_id: UUID, sent: Sent, actor: Person, now: datetime) -> tuple[Photo, bool]:
    """Keep the picture of a scale ticket that names it; the row, and whether it is new.

    NotFound `load_unknown`; Invalid `photo_not_named`, TooOften `photos_too_fast`, the refusals of `store_file`.
    """
    load = or_not_found(Load.objects.filter(pk=load_id).first(), "load_unknown")
    ticket = ScaleTicket.objects.filter(load=load, photo=sent.sha256).first()
    if ticket is None:
        raise Invalid("photo_not_named")
    photo = Photo(load=load, received_at=now, received_from=actor)
    return _keep(photo, {ticket.trailer_id}, sent, proves_repair=False, unreadable_too=True)


def _keep(
    photo: Photo, units: Collection[UUID], sent: Sent, *, proves_repair: bool, unreadable_too: bool
) -> tuple[Photo, bool]:
    """Store the file before the units are locked: writing a large one takes a while.

    One that is known is stored again where the store has lost it.
    """
    stored = Photo.objects.filter(
        walkaround=photo.walkaround, defect=photo.defect, load=photo.load, original=sent.sha256
    )
    known = stored.first()
    if known is not None:
        if is_lost(known.original_id):
            _store(sent, photo.received_at, unreadable_too=unreadable_too)
        return known, False
    refuse_too_fast(photo.received_from, photo.received_at)
    photo.original = _store(sent, photo.received_at, unreadable_too=unreadable_too)
    photo.is_picture = without_notes(sent.content, photo.original.media_type) is not None
    with unit_of_work(units, actor=photo.received_from, now=photo.received_at) as work:
        known = stored.first()
        if known is not None:
            return known, False
        photo.save(force_insert=True)
        if photo.defect is not None:
            count_change(photo.defect)
        for unit in sorted(units):
            work.record(
                unit,
                "photo_received",
                subject=photo.pk,
                body={
                    "sha256": photo.original_id,
                    "proves_repair": proves_repair,
                    "is_picture": photo.is_picture,
                    **({"load": photo.load.number} if photo.load is not None else {}),
                },
            )
        if proves_repair and photo.is_picture:
            close_once_shown(units, work)
        return photo, True


def _store(sent: Sent, now: datetime, *, unreadable_too: bool) -> StoredFile:
    return store_file(
        content=sent.content,
        declared=sent.declared,
        allowed=ALLOWED,
        expected_sha256=sent.sha256,
        unreadable_too=unreadable_too,
        now=now,
    )
