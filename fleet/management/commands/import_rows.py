"""`manage.py import_rows TABLE FILE --by NAME`: takes in a table as `POST /imports/TABLE` does."""

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from common import clock, messages
from common.errors import DomainError
from common.messages import Message
from fleet.api.imports.forms import forms
from fleet.api.imports.reading import read_rows
from fleet.enums import ImportMode, RowOutcome
from fleet.management.acting import person_acting, worded
from fleet.selectors.carrier.carrier import carriers_day, carriers_zone
from fleet.services.imports.plan import ColumnProblem
from fleet.services.imports.run import ImportReport, Table, import_rows


class Command(BaseCommand):
    """Imports one file. Without a mode nothing is written, and what would be is shown."""

    help = "Take in a table from a CSV or XLSX file: units, axles, documents, people, roles, mountings, meter readings."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the table, the file, whose name stands in the history, and the mode."""
        parser.add_argument("table", choices=[table.value for table in Table])
        parser.add_argument("file", type=Path, help="its name, or - for what is piped in")
        parser.add_argument("--by", required=True, metavar="NAME", help="who imports: a name to sign in with")
        parser.add_argument("--mode", choices=[mode.value for mode in ImportMode], default=ImportMode.DRY_RUN.value)

    def handle(self, *, table: str, file: Path, by: str, mode: str, **_options: Any) -> None:
        """Print what became of each row. CommandError when rows were refused, or the file was."""
        now = clock.now()
        actor = person_acting(by, now)
        form = forms()[Table(table)]
        if form.roles.isdisjoint(actor.current_roles):
            raise CommandError(f"{by} holds none of the roles {', '.join(sorted(form.roles))}")
        try:
            report = import_rows(
                what=form.table,
                rows=read_rows(form, _content(file), declared="", zone=carriers_zone()),
                mode=ImportMode(mode),
                actor=actor,
                now=now,
                today=carriers_day(now),
            )
        except OSError as error:
            raise CommandError(str(error)) from error
        except DomainError as error:
            raise worded(error, actor.language) from error
        self._print(report, actor.language)
        if report.counts[RowOutcome.REFUSED]:
            raise CommandError("rows were refused")

    def _print(self, report: ImportReport, language: str) -> None:
        for row in report.rows:
            for problem in row.problems:
                self.stdout.write(f"row {row.row} {problem.column}: {_worded(problem, language)}")
            if row.changes:
                changed = ", ".join(f"{c.column}: {c.before} -> {c.after}" for c in row.changes)
                self.stdout.write(f"row {row.row} {row.name}: {changed}")
        counted = ", ".join(f"{count} {outcome}" for outcome, count in report.counts.items())
        self.stdout.write(f"{counted} ({report.mode})")


def _content(file: Path) -> bytes:
    """What the file holds. Standard input is read as it is: by name it cannot be opened when another user made it."""
    return sys.stdin.buffer.read() if file == Path("-") else file.read_bytes()


def _worded(problem: ColumnProblem, language: str) -> str:
    return messages.render(Message(problem.code, problem.facts), language)
