"""What is flagged on a signed body itself: every value that was read otherwise than it was sent."""

from collections.abc import Sequence

from common.api.signed_bodies import Odd

MOST = 40
"""So many are named one by one; the rest is counted."""


def queries_of(odd: Sequence[Odd]) -> tuple[dict[str, object], ...]:
    """Each with the place in what was sent."""
    named: list[dict[str, object]] = [{"code": str(item.code), "facts": {"field": item.pointer}} for item in odd[:MOST]]
    if len(odd) > MOST:
        named.append({"code": "more_fields_odd", "facts": {"count": len(odd) - MOST}})
    return tuple(named)
