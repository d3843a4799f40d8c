"""Makes one unit's file from its records as of one instant, and records in its history who was given it."""

import shutil
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory, TemporaryFile
from typing import IO
from uuid import UUID
from zipfile import ZipFile
from zoneinfo import ZoneInfo

from django.utils import translation
from django.utils.translation import gettext as _

from common.canonical import canonical_json, sha256_hex
from common.errors import Invalid, or_not_found
from fleet.models import Person, Unit
from fleet.selectors.carrier.carrier import the_carrier
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.sections import FileScope, sections
from fleet.services.records.unit_file.archive import CHECKER, Archive, add_stored_files, sums
from fleet.services.records.unit_file.gather import Gathered, gather
from fleet.services.records.unit_file.pages import Cover, write_pages
from fleet.services.records.unit_of_work import unit_of_work


def readme(cover: Cover) -> bytes:
    """The text, UTF-8 with LF; call it with the language in force."""
    lines = [
        cover.title,
        "=" * len(cover.title),
        "",
        *(f"{name}: {value}" for name, value in cover.facts()),
        "",
        _("file.pdf: everything for reading. Begin there."),
        _("records/: the same as JSON, one record on each line; instants in UTC."),
        _("scans/, photos/: documents and photos, each named by its SHA-256."),
        _("manifest.json, SHA256SUMS: size and SHA-256 of every file."),
        "",
        _("To check that nothing was changed, with Python alone: python3 verify.py"),
        _("To check the files only: sha256sum -c SHA256SUMS"),
        _("The manifest's own SHA-256 stands in the unit's history, in the entry of the day on which this was made."),
        "",
        cover.disclaimer,
        "",
        _("Sections with no records in this period:"),
        *(f"- {section.title}: {section.empty}" for section in sections() if not cover.gathered.counts[section.name]),
        "",
    ]
    return "\n".join(lines).encode()


FORMAT = 1


@dataclass(frozen=True)
class UnitFileRequest:
    """Which days (both included, in the carrier's zone; None for all that is kept), and in which language."""

    since: date | None = None
    until: date | None = None
    language: str = "en"


@dataclass(frozen=True)
class MadeFile:
    """The ZIP, open at its beginning and gone when closed; its name and the SHA-256 of its manifest."""

    content: IO[bytes]
    name: str
    manifest_sha256: str


def make_unit_file(*, unit_id: UUID, requested: UnitFileRequest, actor: Person | None, now: datetime) -> MadeFile:
    """Make the auditor's file of a unit. `actor` is None on the command line.

    Everything is read in one snapshot; the request stands in the unit's history with the manifest's hash, so
    that what was handed out can be told later. NotFound `unit_unknown`, `carrier_missing`; Invalid `file_days_turned`.
    """
    if requested.since is not None and requested.until is not None and requested.until < requested.since:
        raise Invalid("file_days_turned")
    unit = or_not_found(Unit.objects.filter(pk=unit_id).first(), "unit_unknown")
    carrier = the_carrier()
    days = FileScope(unit, requested.since, requested.until, carrier.time_zone, now)
    spool = TemporaryFile()  # noqa: SIM115 - handed on, and gone when it is closed
    with TemporaryDirectory() as place, translation.override(requested.language):
        gathered = gather(days, Path(place))
        cover = Cover(days, gathered, Words(requested.language, ZoneInfo(carrier.time_zone)), actor)
        manifest_sha256 = _fill(spool, cover)
    _note(days, requested, gathered, manifest_sha256, actor)
    spool.seek(0)
    return MadeFile(spool, f"{_safe(unit)}-{now:%Y%m%d}.zip", manifest_sha256)


def _fill(spool: IO[bytes], cover: Cover) -> str:
    """Write the whole archive; the SHA-256 of its manifest."""
    gathered = cover.gathered
    local = cover.scope.now.astimezone(cover.words.zone)
    with ZipFile(spool, "w") as packed:
        archive = Archive(packed, local)
        archive.add("README.txt", readme(cover))
        for section in sections():
            archive.add(f"records/{section.name}.json", gathered.path(section))
        faults = add_stored_files(archive, gathered)
        pages = gathered.folder / "file.pdf"
        write_pages(pages, cover, faults=len(faults))
        archive.add("file.pdf", pages)
        archive.add("verify.py", CHECKER)
        manifest = canonical_json(_manifest(cover, archive, faults))
        sha256 = sha256_hex(manifest)
        archive.add("manifest.json", manifest)
        archive.add("SHA256SUMS", sums(archive.entries))
    return sha256


def _manifest(cover: Cover, archive: Archive, faults: list[dict[str, str]]) -> dict[str, object]:
    scope, gathered = cover.scope, cover.gathered
    return {
        "format": FORMAT,
        "unit": {"id": scope.unit.pk, "number": str(scope.unit), "kind": scope.unit.kind},
        "carrier": {"name": gathered.carrier.name, "usdot_number": gathered.carrier.usdot_number},
        "from": scope.since,
        "to": scope.until,
        "as_of": scope.now,
        "zone": scope.zone,
        "made_by": None if cover.actor is None else {"id": cover.actor.pk, "name": cover.actor.name},
        "history": {"length": gathered.length, "head": gathered.head.hex()},
        "records": gathered.counts,
        "files": [{"path": entry.path, "size": entry.size, "sha256": entry.sha256} for entry in archive.entries],
        "not_included": faults,
    }


def _note(days: FileScope, requested: UnitFileRequest, gathered: Gathered, manifest: str, actor: Person | None) -> None:
    with unit_of_work([days.unit.pk], actor=actor, now=days.now) as work:
        work.record(
            days.unit.pk,
            "file_made",
            subject=days.unit.pk,
            body={
                "since": requested.since,
                "until": requested.until,
                "manifest": manifest,
                "length": gathered.length,
                "head": gathered.head.hex(),
            },
        )


def _safe(unit: Unit) -> str:
    return "".join(character if character.isascii() and character.isalnum() else "-" for character in str(unit))


def save_as(made: MadeFile, path: Path) -> None:
    """Put the archive under a name; an earlier file of that name is replaced."""
    with made.content, path.open("wb") as target:
        shutil.copyfileobj(made.content, target)
