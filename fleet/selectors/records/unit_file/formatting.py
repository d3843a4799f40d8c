"""Putting a record's values into words of the reader's language and the carrier's zone. Knows no section."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import translation
from django.utils.translation import gettext as _

from common.measures import measured
from common.messages import Template
from fleet.messages.records import SIGNATURE_METHODS


@dataclass(frozen=True)
class Words:
    """The language and zone in which a file is written."""

    language: str
    zone: ZoneInfo

    def instant(self, text: str | None) -> str:
        """An instant in the carrier's zone, to the minute; empty for none, as it stands at the ends of the calendar."""
        if text is None:
            return ""
        try:
            local = datetime.fromisoformat(text).astimezone(self.zone)
        except OverflowError:
            return text
        return local.strftime("%Y-%m-%d %H:%M %Z")

    def label(self, labels: Mapping[str, Template], value: str) -> str:
        """The label of a value; the bare value where it has none."""
        with translation.override(self.language):
            return str(labels.get(value, value))

    def either(self, text: Mapping[str, str]) -> str:
        """A text that is recorded in several languages; English where the reader's is not among them."""
        return text.get(self.language, text["en"])

    def measured(self, row: Mapping[str, Any] | None) -> str:
        """A value without the zeros that storing it added, and its unit of measure; empty for none."""
        if row is None or row["value"] is None:
            return ""
        return measured(Decimal(row["value"]), row["unit_of_measure"])

    def person(self, row: Mapping[str, Any] | None) -> str:
        """A person with title and firm, as far as they are known; empty for nobody."""
        return "" if row is None else ", ".join(filter(None, (row["name"], row["title"], row["firm"])))

    def signature(self, row: Mapping[str, Any] | None) -> str:
        """Who signed, when and how; says so where nobody did."""
        if row is None:
            return _("not signed")
        signed = f"{self.person(row['signer'])}\n{self.instant(row['signed_at'])}"
        return f"{signed}, {self.label(SIGNATURE_METHODS, row['method'])}"
