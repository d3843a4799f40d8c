"""Short forms in which one thing names another: a unit, a person, a site."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from common.api.fields import TextField
from common.choices import choices
from common.sentences import words
from fleet.enums import UnitKind
from fleet.rules.units.references import parse_reference

LONGEST_REFERENCE = 160


@extend_schema_field(
    {"type": "string", "maxLength": LONGEST_REFERENCE, "examples": ["NL-11", "QX-9003@Gravelspoon Foods"]}
)
class UnitRefField(TextField):
    """A unit as people name it: its number, `number@owner`, or its key; looked up by the view, many at once."""

    default_error_messages = words("unit_reference_malformed")

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=LONGEST_REFERENCE, **kwargs)

    def run_validation(self, data: Any = serializers.empty) -> Any:
        """Return the reference as it was written; ValidationError `unit_reference_malformed`."""
        ref = super().run_validation(data)
        if ref and parse_reference(ref) is None:
            self.fail("unit_reference_malformed")
        return ref


class UnitName(serializers.Serializer[Any]):
    """A unit in short."""

    id = serializers.UUIDField()
    kind = serializers.ChoiceField(choices(UnitKind))
    number = serializers.CharField()
    owner = serializers.CharField(help_text="Empty for our own.")


class PersonName(serializers.Serializer[Any]):
    """A person in short."""

    id = serializers.UUIDField()
    name = serializers.CharField()
