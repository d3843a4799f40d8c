"""A unit with something in every part of its history, and its file."""

from datetime import date
from pathlib import Path

import pytest
from pytest_django import Settings

from fleet.services.documents.files import store_file
from tests.factories.fleet import NOON, make_document
from tests.support.pictures import jpeg
from tests.support.unit_files import Unpacked, made_file
from tests.support.yard import Yard, make_yard, photo_on

SCAN, PHOTO = b"%PDF-1.7 the report of an inspection", jpeg()


@pytest.fixture
def yard(db: None, tmp_path: Path, settings: Settings) -> Yard:
    """LR-46 inspected; a brake reported, photographed, repaired, certified, lifted, reviewed; then a fault in words."""
    settings.MEDIA_ROOT = tmp_path / "media"
    yard = make_yard()
    kinds = frozenset({"application/pdf", "image/jpeg"})
    stored = [
        store_file(content=content, declared=None, allowed=kinds, expected_sha256=None, now=NOON)
        for content in (SCAN, PHOTO)
    ]
    document = make_document(
        yard.trailer,
        kind="periodic_inspection",
        starts_on=date(2025, 9, 1),
        ends_on=None,
        program="self",
        inspector="Greta Lind",
    )
    document.file = stored[0]
    document.save(update_fields=["file"])
    defect = yard.stroke()
    yard.repaired_stroke(defect, photo=photo_on(defect, stored[1].pk))
    yard.lift(defect.holds.get())
    yard.review()
    yard.fault()
    return yard


@pytest.fixture
def file(yard: Yard, tmp_path: Path) -> Unpacked:
    return made_file(yard.trailer, yard["vera"], yard.now, tmp_path)
