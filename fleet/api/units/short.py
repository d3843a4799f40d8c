"""A unit in short, and its name in a body."""

from typing import Annotated, Any
from uuid import UUID

from pydantic import Field
from pydantic.json_schema import JsonSchemaValue

from common.api.answers import Answer
from common.api.values import ReadValue, Text, Word, refused
from fleet.enums import UnitKind
from fleet.rules.units.references import parse_reference

LONGEST_REFERENCE = 160


class UnitShort(Answer):
    """A unit in short."""

    id: UUID
    kind: Annotated[str, Word(UnitKind)]
    number: str
    owner: str = Field(description="Empty for our own.")


class _UnitRef(ReadValue):
    text = Text(LONGEST_REFERENCE)

    def read(self, sent: Any) -> str:
        ref = self.text.read(sent)
        if parse_reference(ref) is None:
            raise refused("unit_reference_malformed")
        return ref

    def described(self) -> JsonSchemaValue:
        return {**self.text.described(), "examples": ["NL-11", "QX-9003@Gravelspoon Foods"]}


UnitRef = Annotated[str, _UnitRef()]
"""A unit as people name it: its number, `number@owner`, or its key; looked up by the view, many at once."""
