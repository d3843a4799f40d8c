"""What makes a bar the same one at two times, however its words have changed. Decides nothing of what bars."""

from collections.abc import Iterable, Mapping
from typing import Any

from defects.rules.clearance.codes import ReasonKind

NAMING = ("hold", "defect", "refusal", "document", "load_at_risk", "order")
"""The facts that name the thing behind a bar; a bar without any of them is named by its code."""

Row = Mapping[str, Any]
"""A reason as answers are stored."""


def bars_by_name(reasons: Iterable[Row]) -> dict[str, Row]:
    """Everything that bars in a stored answer, each under a name that lasts.

    A defect has one name ungraded and graded, and so has a document that ends too soon and has run out: it is one
    thing, and whoever heard of it need not hear of it again.
    """
    return {_name(row): row for row in reasons if row["kind"] == ReasonKind.BARS}


def _name(row: Row) -> str:
    facts = row["facts"]
    thing = next((f"{name} {facts[name]}" for name in NAMING if name in facts), str(row["code"]))
    return ", ".join(filter(None, (row["unit"], thing, facts.get("us_state", ""))))
