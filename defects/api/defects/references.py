"""Defects as bodies name them."""

from collections.abc import Sequence
from uuid import UUID

from common.errors import FieldProblem, Invalid
from defects.selectors.defects.defects import defects_named


def defects_in_body(refs: Sequence[str], pointer: str) -> list[UUID]:
    """Return the keys of the defects listed at a place; Invalid `defect_unknown` with a pointer to each stranger."""
    found = defects_named(refs)
    strangers = [f"{pointer}/{position}" for position, ref in enumerate(refs) if ref not in found]
    if strangers:
        raise Invalid("defect_unknown", problems=[FieldProblem(place, "defect_unknown") for place in strangers])
    return [found[ref] for ref in refs]
