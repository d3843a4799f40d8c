"""Laying out the yard: every unit together with what it stands with now, whoever was asked for by name."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache

from django.contrib.postgres.expressions import ArraySubquery

from common.compiled import INSTANT, KEYS, CompiledObjects, KeyIn, Parameter
from defects.rules.clearance.snapshot import Snapshot
from defects.selectors.clearance.context import ClearanceContext, context_of, load_fact
from defects.selectors.clearance.snapshot import TripRequest, fact_rows
from defects.selectors.clearance.units import gather
from fleet.enums import UnitKind
from fleet.models import CouplingMember, Mounting, Unit
from fleet.selectors.carrier.carrier import EffectivePolicies


@dataclass(frozen=True)
class Combination:
    """Units that stand together, as one snapshot, and the number of the load aboard; empty for none."""

    snapshot: Snapshot
    load: str


@dataclass(frozen=True)
class Yard:
    """The combinations that some units stand in, and the carrier's decisions."""

    effective: EffectivePolicies
    combinations: list[Combination]


def yard_of(units: Sequence[Unit], *, now: datetime) -> Yard:
    """A snapshot for each combination that the units stand in, in two statements however many there are.

    A combination is judged whole, units included that are not among those given: its mounted cooling units and
    coupled units count for it, because it would roll as one.
    """
    together = _with_combinations(units, now)
    context = context_of(gather(fact_rows([unit.pk for unit in together], as_of=now, requested=TripRequest())))
    return Yard(context.effective, [_combination(group, context, now) for group in _groups(together, context)])


def _combination(group: Sequence[Unit], context: ClearanceContext, now: datetime) -> Combination:
    load = context.aboard(group)
    snapshot = Snapshot(
        as_of=now,
        zone=context.zone,
        units=context.units(group),
        load=None if load is None else load_fact(load),
        weighed=context.weighed(group, load),
        carrier_documents=context.carrier_documents,
        loads_at_risk=context.risks(group),
        other_loads=context.other_loads(group, load),
        policy=context.policy,
    )
    return Combination(snapshot, "" if load is None else load["number"])


def _with_combinations(units: Sequence[Unit], now: datetime) -> list[Unit]:
    """The units and all that stand with them now."""
    return combinations_statement().fetch(units=[unit.pk for unit in units], now=now)


@cache
def combinations_statement() -> CompiledObjects[Unit]:
    """The statement, for `units` and `now`."""
    units, now = Parameter("units", KEYS), Parameter("now", INSTANT)
    mountings = Mounting.objects.filter(span__contains=now)
    members = CouplingMember.objects.filter(span__contains=now)
    # By UNION, since what is joined by OR to another table is looked for in every row; as arrays, since a table that is
    # joined to a query may be read through.
    given = Unit.objects.filter(KeyIn("pk", units)).values("pk")
    carriers = mountings.filter(KeyIn("cooling_unit_id", units)).values("trailer_id")
    road = ArraySubquery(given.union(carriers))
    couplings = members.filter(KeyIn("unit_id", road)).values("coupling_id")
    coupled = members.filter(KeyIn("coupling_id", ArraySubquery(couplings))).values("unit_id")
    carrying = ArraySubquery(given.union(carriers, coupled))
    cold = mountings.filter(KeyIn("trailer_id", carrying)).values("cooling_unit_id")
    together = ArraySubquery(given.union(carriers, coupled, cold))
    return CompiledObjects(Unit.objects.filter(KeyIn("pk", together)).order_by("kind", "number", "pk"))


def _groups(units: Iterable[Unit], context: ClearanceContext) -> list[list[Unit]]:
    """The units by the combination they stand in, each cooling unit with its trailer."""
    rows = list(units)
    by_key = {str(unit.pk): unit for unit in rows}
    groups: dict[str, list[Unit]] = {}
    for unit in rows:
        leader = by_key.get(context.trailer_under(unit) or "", unit)
        groups.setdefault(context.coupling_of(leader) or str(leader.pk), []).append(unit)
    return [sorted(group, key=_order) for group in groups.values()]


def _order(unit: Unit) -> tuple[int, str]:
    """The tractor first, then trailers, then cooling units, then what a newer release calls otherwise."""
    kinds = (UnitKind.TRACTOR, UnitKind.TRAILER, UnitKind.COOLING_UNIT)
    return kinds.index(unit.kind) if unit.kind in kinds else len(kinds), unit.number
