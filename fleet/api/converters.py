"""How a unit is named in an address: its number, `number@owner`, or its key. Finding the row is in `names`."""

from fleet.rules.units.references import REFERENCE_PATTERN


class UnitReferenceConverter:
    """`<unit:ref>` in a path; what could name no unit is no address of ours."""

    regex = REFERENCE_PATTERN

    def to_python(self, value: str) -> str:
        """Return the reference as it was written."""
        return value

    def to_url(self, value: str) -> str:
        """Return the reference as it is written."""
        return value
