"""Whatever an app makes for all apps stands in its contribution."""

import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path

from common.composition import Receiver, contributed, contributions
from common.jobs import Job
from common.messages import Sentences
from config.env import CHECKOUT
from fleet.enums import NotificationKind
from fleet.rules.records.retention import Retention
from fleet.selectors.records.exports.tables import ExportTables
from fleet.selectors.records.recounts import Recounted
from fleet.selectors.records.unit_file.sections import Section
from fleet.services.notifications.endings import NotificationEnding
from fleet.services.notifications.refresh import NotificationRefresh
from fleet.services.records.purging.functions import DeletedAlong

APPS = ("common", "fleet", "defects", "workorders", "config")
MADE_IN_MODULES = (
    *(Receiver, Job, Sentences, Retention, DeletedAlong, Recounted),
    *(ExportTables, Section, NotificationEnding, NotificationRefresh),
)

NEVER_ENDS = {
    NotificationKind.SECOND_LOOK_DONE: "somebody looked",
    NotificationKind.INSPECTION_FLAGGED: "an inspection was recorded and found odd",
    NotificationKind.HOLD_LIFTED: "a hold was lifted",
    NotificationKind.FUEL_LOST: "readings showed fuel gone",
    NotificationKind.RECORD_SKIPPED: "a job passed a row over",
}
"""Kinds without an ending, with what happened: it is told however late."""


def modules() -> Iterator[tuple[Path, str]]:
    """Every module of the apps that is no migration, by its file and its name."""
    for app in APPS:
        for file in sorted((CHECKOUT / app).rglob("*.py")):
            path = file.relative_to(CHECKOUT)
            if not {"migrations", "local"} & set(path.parts):
                yield path, ".".join(path.with_suffix("").parts).removesuffix(".__init__")


def made(value: object) -> Iterator[object]:
    """The parts among a module's values and in its tuples."""
    if isinstance(value, MADE_IN_MODULES):
        yield value
    elif isinstance(value, tuple):
        for each in value:
            yield from made(each)


def test_each_kind_of_notification__has_an_ending_or_tells_of_what_happened() -> None:
    ending = {part.kind for part in contributed(NotificationEnding)}
    assert ending.isdisjoint(NEVER_ENDS)
    assert ending | NEVER_ENDS.keys() == set(NotificationKind)


def test_part_that_a_module_makes__is_contributed() -> None:
    parts = {id(part) for contribution in contributions() for part in contribution.parts}
    found = 0
    for _, name in modules():
        if name in sys.modules:
            for variable, value in list(vars(sys.modules[name]).items()):
                for part in made(value):
                    found += 1
                    assert id(part) in parts, f"{name}.{variable} is in no contribution"
    assert found > 100


def test_table_of_sentences__is_in_its_app_s() -> None:
    tables = {id(table) for sentences in contributed(Sentences) for table in sentences.tables}
    homes = [name for path, name in modules() if "MESSAGES: Messages" in (CHECKOUT / path).read_text()]
    assert len(homes) > 10
    assert [name for name in homes if id(import_module(name).MESSAGES) not in tables] == []
