"""Ends of qualifications as kinds of the expiry list: each scope of work is one, beside the kinds of document. Pure."""

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from fleet.rules.documents.kinds import DocumentKind, Source
from fleet.rules.documents.periods import ExplicitDate

PREFIX = "qualification_"
"""Before the scope's name in the name of its kind."""

OVERDUE_FOR_DAYS = 30
"""One that ended longer ago is wanted no more, and reminds no more. Our own default, no source."""

_BRAKES = Source("49 CFR 396.25", "read")
_OWN = Source("carrier's rule", "own")
_SCOPES: Mapping[str, tuple[Source, str, str]] = {
    "brakes_inspect": (_BRAKES, "qualified to inspect brakes", "calificación para inspeccionar frenos"),
    "brakes_adjust": (_BRAKES, "qualified to adjust brakes", "calificación para ajustar frenos"),
    "brakes_repair": (_BRAKES, "qualified to repair brakes", "calificación para reparar frenos"),
    "periodic_inspection": (
        Source("49 CFR 396.19", "read"),
        "qualified for periodic inspections",
        "calificación para inspecciones periódicas",
    ),
    "refrigerant": (
        Source("40 CFR 82.161", "read"),
        "certified for refrigerant circuits",
        "certificación para circuitos de refrigerante",
    ),
    "cooling_unit": (_OWN, "qualified for cooling units", "calificación para unidades de refrigeración"),
    "tires": (_OWN, "qualified for tires and wheels", "calificación para neumáticos y ruedas"),
    "food_disposition": (
        Source("21 CFR 1.908(a)(6)", "memory"),
        "qualified to decide over food that may have warmed",
        "calificación para decidir sobre alimentos que pudieron calentarse",
    ),
    "under_vehicle": (_OWN, "trained to look and measure underneath", "capacitación para mirar y medir debajo"),
}


@lru_cache
def qualification_kinds() -> Mapping[str, DocumentKind]:
    """The kinds by name. None is required of anybody or bars a unit; none reminds long: one may be wanted no more."""
    return MappingProxyType({f"{PREFIX}{scope}": _kind(scope, *facts) for scope, facts in _SCOPES.items()})


def _kind(scope: str, source: Source, english: str, spanish: str) -> DocumentKind:
    return DocumentKind(
        name=f"{PREFIX}{scope}",
        applies_to=frozenset({"person"}),
        rule=ExplicitDate(),
        required=False,
        bars_clearance=False,
        missing_bars=False,
        overdue_for_days=OVERDUE_FOR_DAYS,
        keep="qualification",
        source=source,
        text={"en": english, "es": spanish},
    )
