"""Units of others: an interchanged, leased or customer's unit, added on the spot, also within a phone's walk-around."""

from collections.abc import Mapping
from datetime import date, datetime
from uuid import UUID

from django.db import IntegrityError, transaction

from common.errors import Invalid
from fleet.enums import UnitKind
from fleet.models import Person, Unit
from fleet.selectors.units.lookup import resolve_unit
from fleet.services.records.unit_of_work import UnitOfWork
from fleet.services.units.writers import apply_changes, insert_unit, refuse_bad_facts


@transaction.atomic
def add_third_party_unit(
    *,
    kind: UnitKind,
    number: str,
    owner: str,
    actor: Person,
    now: datetime,
    in_control_since: date,
    facts: Mapping[str, object] | None = None,
) -> Unit:
    """The unit `number@owner`, which is added if nobody did before; callable inside a larger transaction.

    Inside one, call it before locking any unit, in the order of owner and number, so that two phones adding the same
    units never wait for each other in a circle. `facts` are further ones of `rules.units.description.FACTS`. Invalid
    `owner_missing`, `unit_refused`; `unit_kind_differs` when the number is known as another kind.
    """
    known = resolve_unit(f"{number}@{owner}")
    if known is None:
        given = {**(facts or {}), "number": number, "owner": owner, "in_control_since": in_control_since}
        if not owner:
            raise Invalid("owner_missing", pointer="/owner")
        refuse_bad_facts(kind, given, None, now)
        known = _insert_or_find(kind, given, actor, now)
    if known.kind != kind:
        raise Invalid("unit_kind_differs", pointer="/kind", number=number, owner=owner, known_kind=known.kind)
    return known


@transaction.atomic
def complete_third_party_unit(*, work: UnitOfWork, unit_id: UUID, facts: Mapping[str, str]) -> Mapping[str, str]:
    """Take the facts of a known third-party unit that nobody has recorded; what is recorded otherwise, by its name.

    The unit is locked by `work`, which the caller ends. A State comes with its plate: that of another plate is not
    taken. IntegrityError for a VIN that another unit has.
    """
    unit = Unit.objects.get(pk=unit_id)
    recorded = {name: str(getattr(unit, name)) for name in facts}
    differs = {name: known for name, known in recorded.items() if known and _plainly(known) != _plainly(facts[name])}
    fresh = {name: value for name, value in facts.items() if not recorded[name]}
    if "plate" in differs:
        fresh.pop("plate_state", None)
    if fresh:
        changed = apply_changes(unit, fresh)
        work.save(unit, *fresh)
        work.record(unit.pk, "unit_edited", subject=unit.pk, body=changed)
    return differs


def _plainly(text: str) -> str:
    """A plate or number as it is read: capital letters, nothing between them."""
    return "".join(letter for letter in text.upper() if letter.isalnum())


def _insert_or_find(kind: UnitKind, facts: Mapping[str, object], actor: Person, now: datetime) -> Unit:
    try:
        with transaction.atomic():
            unit, chain = insert_unit(kind, facts, {}, (), now)
    except IntegrityError:
        rival = resolve_unit(f"{facts['number']}@{facts['owner']}")
        if rival is None:
            raise
        return rival
    work = UnitOfWork([chain], actor, now)
    work.record(unit.pk, "unit_of_others_added", subject=unit.pk, body={"kind": kind, **facts})
    work.write()
    return unit
