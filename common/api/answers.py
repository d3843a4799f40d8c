"""The base of what is answered: a model that the document shows and that becomes JSON as it is."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Annotated, Any, Self

from pydantic import AfterValidator, BaseModel, ConfigDict
from pydantic_core import to_json
from rest_framework.renderers import JSONRenderer

InUtc = Annotated[datetime, AfterValidator(lambda instant: instant.astimezone(UTC))]
"""An instant that is told in UTC also where the row just written still has it in the offset it came with."""


class Answer(BaseModel):
    """A JSON object of an answer. Stored words of a closed set are annotated `Annotated[str, Word(…)]`."""

    model_config = ConfigDict(
        from_attributes=True, frozen=True, extra="forbid", json_schema_serialization_defaults_required=True
    )

    @classmethod
    def of(cls, source: object, /, **given: object) -> Self:
        """Return the answer that shows `source`: each field is given here, or is the attribute of that name."""
        names = (name for name in cls.model_fields if name not in given)
        return cls.model_validate({**{name: getattr(source, name) for name in names}, **given})


class AnswerRenderer(JSONRenderer):
    """Writes answers as JSON in one pass: models, and what is made of JSON's own types, keys, days and instants."""

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Mapping[str, Any] | None = None
    ) -> bytes:
        """Return UTF-8; nothing for None."""
        return b"" if data is None else to_json(data, fallback=str)
