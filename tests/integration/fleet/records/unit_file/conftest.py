"""A unit with something in every part of its history, and its file."""

import shutil
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from django.test import override_settings
from pytest_django import Settings
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from fleet.services.documents.files import store_file
from tests.factories.fleet import NOON, make_document
from tests.support.database import pointed_at
from tests.support.pictures import jpeg
from tests.support.prepared import copy_of, rolled_back
from tests.support.unit_files import Unpacked, made_file
from tests.support.yard import Yard, photo_on

SCAN, PHOTO = b"%PDF-1.7 the report of an inspection", jpeg()


@dataclass(frozen=True)
class Inspected:
    """The name of a database made once for a worker, the yard in it, and the folder of its files."""

    database: str
    yard: Yard
    media: Path


@pytest.fixture(scope="session")
def inspected(
    yard_template: tuple[str, Yard],
    django_db_blocker: DjangoDbBlocker,
    database_server: Database,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Inspected]:
    """LR-46 inspected; a brake reported, photographed, repaired, certified, lifted, reviewed; then a fault in words."""
    media, yard = tmp_path_factory.mktemp("inspected") / "media", deepcopy(yard_template[1])
    with copy_of(yard_template[0], "inspected", database_server) as name:
        with django_db_blocker.unblock(), pointed_at(name), override_settings(MEDIA_ROOT=media):
            _inspect(yard)
        yield Inspected(name, yard, media)


def _inspect(yard: Yard) -> None:
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


@pytest.fixture
def yard(
    inspected: Inspected, django_db_blocker: DjangoDbBlocker, tmp_path: Path, settings: Settings
) -> Iterator[Yard]:
    settings.MEDIA_ROOT = shutil.copytree(inspected.media, tmp_path / "media")
    with rolled_back(inspected.database, django_db_blocker):
        yield deepcopy(inspected.yard)


@pytest.fixture
def file(yard: Yard, tmp_path: Path) -> Unpacked:
    return made_file(yard.trailer, yard["vera"], yard.now, tmp_path)
