"""Which records are recounted from a unit's history: each app contributes its own. The rules are in its `rules`."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from fleet.rules.records.recount import OnRecord, Recount


@dataclass(frozen=True, eq=False)
class Recounted:
    """A kind of record, and every row of it in the order of its unit's key; to be read inside one snapshot."""

    recount: Recount
    rows: Callable[[], Iterator[OnRecord]]
