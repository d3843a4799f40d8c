"""What was deleted after its retention, over HTTP, and the hash that stays as its proof."""

from datetime import date, datetime
from typing import Annotated
from uuid import UUID

from django_filters import rest_framework as filters
from pydantic import Field

from common.api.answers import Answer
from common.api.filter_kinds import KeyFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Word
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.roles import READERS_OF_RETENTION
from fleet.api.requests.views import ListMixin
from fleet.api.units.short import UnitShort
from fleet.enums import Deleted
from fleet.models import Deletion
from fleet.models.base import choices
from fleet.rules.records.retention import RECORD_KINDS

Hash = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class DeletionAnswer(Answer):
    """What a job deleted after its retention, and the hash that stays as its proof."""

    id: UUID
    what: Annotated[str, Word(Deleted)]
    record: UUID = Field(description="The row whose content went; the row itself stays.")
    unit: UnitShort | None
    unit_name: str = Field(description="The unit as it was called that day; empty where it is none's.")
    subject: UUID | None = Field(description="What the record was about.")
    event: str = Field(description="The kind of history entry, else empty.")
    record_kind: str
    retained_until: date = Field(description="The last day of keeping.")
    rule: str
    source: str
    content_hash: Hash
    deleted_at: datetime
    run: UUID = Field(description="The same for everything that one run deleted.")


class DeletedContent(Answer):
    """Why an entry says nothing any more."""

    deleted_at: datetime
    retained_until: date
    rule: str
    source: str
    content_hash: Hash


class DeletionFilter(StrictFilterSet):
    unit = UnitRefFilter("unit")
    what = filters.ChoiceFilter(choices=choices(Deleted))
    record_kind = filters.ChoiceFilter(choices=[(kind, kind) for kind in RECORD_KINDS])
    record = KeyFilter()
    subject = KeyFilter()
    run = KeyFilter()
    since, until = within("deleted_at")


class DeletionViewSet(ListMixin):
    """What was deleted after its retention, newest first, by which rule, and the hash that stays."""

    roles = {"list": READERS_OF_RETENTION}
    filterset_class = DeletionFilter
    ordering = ("-deleted_at",)
    shows = DeletionAnswer
    queryset = Deletion.objects.select_related("unit")
