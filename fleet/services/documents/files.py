"""Files kept by the hash of their content, in the store before their row; and what of one is shown."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import transaction

from common.canonical import sha256_hex
from common.errors import Invalid, TooLarge, or_not_found
from common.tables.reading import UNSAID
from fleet.enums import Role
from fleet.models import FileRemoval, Person, StoredFile
from fleet.rules.documents.file_types import ALSO_CALLED, media_type
from fleet.rules.documents.photo_metadata import without_notes
from fleet.services.operation.file_stores.choice import the_store

MAX_BYTES = 15 * 1024 * 1024
ORPHAN_AGE = timedelta(days=1)
"""How old a file without a row must be before it is swept: its row's transaction is over by then."""


@transaction.atomic
def store_file(
    *,
    content: bytes,
    declared: str | None,
    allowed: frozenset[str],
    expected_sha256: str | None,
    max_bytes: int = MAX_BYTES,
    unreadable_too: bool = False,
    now: datetime,
) -> StoredFile:
    """Keep a file and return its row; the same content again returns the row that is there.

    When this returns, the bytes are durable under their final name, so that no committed row lacks its file.
    TooLarge `file_too_large`; Invalid `file_empty`, `file_type_refused` (the type is found from the content),
    `file_mislabelled` when it was `declared` as a certain other one, `file_hash_differs` from the one expected,
    `photo_unreadable` for what few could be shown, unless it is to be kept all the same; Unavailable
    `file_store_unavailable`.
    """
    if len(content) > max_bytes:
        raise TooLarge("file_too_large", max_bytes=max_bytes)
    if not content:
        raise Invalid("file_empty")
    found = media_type(content)
    if found is None or found not in allowed:
        raise Invalid("file_type_refused", allowed=sorted(allowed))
    if declared and declared not in UNSAID and ALSO_CALLED.get(declared, declared) != found:
        raise Invalid("file_mislabelled", found=found)
    name = sha256_hex(content)
    if expected_sha256 not in {None, name}:
        raise Invalid("file_hash_differs", found=name)
    if not unreadable_too and without_notes(content, found) is None:
        raise Invalid("photo_unreadable")
    the_store().put(name, content)
    row, new = StoredFile.objects.get_or_create(
        sha256=name, defaults={"size": len(content), "media_type": found, "stored_at": now}
    )
    return row if new else _kept_anew(row, content)


def _kept_anew(row: StoredFile, content: bytes) -> StoredFile:
    """Hold the row until the end, so that no removal that is pending comes between, and write what one took before."""
    row = StoredFile.objects.select_for_update(no_key=True).get(pk=row.pk)
    the_store().put(row.pk, content)
    return row


def read_file(sha256: str) -> bytes:
    """Return the bytes of a kept file; NotFound `file_missing` when the store has lost it."""
    return or_not_found(the_store().get(sha256), "file_missing")


def is_lost(sha256: str) -> bool:
    """Whether the store has lost a file that is still to be kept: not one that was deleted after its days."""
    return not FileRemoval.objects.filter(file=sha256).exists() and not the_store().has(sha256)


def remove_file(sha256: str) -> None:
    """Remove the bytes of a stored file, whose row stays; nothing happens when they are gone already."""
    store = the_store()
    store.remove(store.place_of(sha256))


def delete_orphans(*, now: datetime) -> int:
    """Remove files without a row that are older than a day, half-written ones among them; how many there were."""
    store, removed = the_store(), 0
    for places in store.older_than(now - ORPHAN_AGE):
        names = {place: place.rpartition("/")[2] for place in places}
        known = set(StoredFile.objects.filter(pk__in=names.values()).values_list("pk", flat=True))
        for place in [place for place, name in names.items() if name not in known]:
            store.remove(place)
            removed += 1
    return removed


SEE_ORIGINALS = frozenset({Role.COMPLIANCE, Role.AUDITOR})
"""Who keeps the record sees where and when a photo was taken."""


@dataclass(frozen=True)
class Shown:
    """The bytes that a person is shown of a file, and a name for just these."""

    content: bytes
    name: str


def shown_to(person: Person, file: StoredFile) -> Shown:
    """Return a file as this person may see it; NotFound `file_missing`, `file_not_shown` where it cannot be opened."""
    content = read_file(file.pk)
    if not SEE_ORIGINALS.isdisjoint(person.current_roles):
        return Shown(content, file.pk)
    bare = or_not_found(without_notes(content, file.media_type), "file_not_shown")
    return Shown(bare, f"{file.pk}-without-notes")
