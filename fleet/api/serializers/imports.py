"""What an import says: how many rows became what, and about each row what it names, changes, or is refused for."""

from typing import Any

from rest_framework import serializers

from common import messages
from common.api.language import current_language
from common.canonical import plain
from common.choices import choices
from common.messages import Message
from fleet.enums import ImportMode, RowOutcome
from fleet.services.imports.plan import Change, ColumnProblem
from fleet.services.imports.run import Table


class ColumnOut(serializers.Serializer[Any]):
    """A column of a table that can be taken in."""

    name = serializers.CharField()
    needed = serializers.BooleanField(help_text="No row can do without it.")
    choices = serializers.ListField(child=serializers.CharField(), help_text="All that may stand there; empty: any.")
    example = serializers.CharField()
    help = serializers.CharField()


class ChangeOut(serializers.Serializer[Change]):
    """A column that is changed; values as texts, null for none."""

    column = serializers.CharField()
    before = serializers.SerializerMethodField()
    after = serializers.SerializerMethodField()

    def get_before(self, change: Change) -> str | None:
        """Return what was on record."""
        return _text(change.before)

    def get_after(self, change: Change) -> str | None:
        """Return what the row says."""
        return _text(change.after)


class RowProblemOut(serializers.Serializer[ColumnProblem]):
    """What is wrong in a row: the column (empty for the whole row), the rule, and the sentence to read."""

    column = serializers.CharField()
    code = serializers.CharField()
    detail = serializers.SerializerMethodField()

    def get_detail(self, problem: ColumnProblem) -> str:
        """Return the sentence in the reader's language."""
        return messages.render(Message(problem.code, problem.facts), current_language())


class RowReportOut(serializers.Serializer[Any]):
    """What becomes of a row, by its number in the spreadsheet; the header is row 1."""

    row = serializers.IntegerField()
    outcome = serializers.ChoiceField(choices(RowOutcome))
    name = serializers.CharField(help_text="The record that the row names, as people call it.")
    id = serializers.UUIDField(source="key", allow_null=True, help_text="Null for a record that was not there before.")
    changes = ChangeOut(many=True)
    problems = RowProblemOut(many=True)


class CountsOut(serializers.Serializer[Any]):
    """How many rows became what."""

    created = serializers.IntegerField()
    changed = serializers.IntegerField()
    unchanged = serializers.IntegerField()
    refused = serializers.IntegerField(help_text="All of them; at most 1,000 are listed.")
    example = serializers.IntegerField()


class ImportReportOut(serializers.Serializer[Any]):
    """What an import did; after a dry run, what it would have done."""

    table = serializers.ChoiceField([table.value for table in Table], source="what")
    mode = serializers.ChoiceField(choices(ImportMode))
    applied = serializers.BooleanField()
    counts = CountsOut()
    rows = RowReportOut(many=True)


def _text(value: object) -> str | None:
    return None if value is None else str(plain(value))
