"""What a form asks of the units in a context: every point with its places, and since when it is due."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from common.clock import day_in_zone
from defects.enums import Form
from defects.rules.catalogue.observed import KIND_OF_FORM, Conditions
from defects.rules.walkarounds.due import Due, asked_in_turn, due
from defects.rules.walkarounds.looks import AskedPoint, asked_of, on_form, settles
from defects.selectors.walkarounds.walk import WalkContext


@dataclass(frozen=True)
class FormPoint:
    """One point asked of a unit. Without `by_leg` every place is answered by itself: the form asks it only today."""

    asked: AskedPoint
    due: Due
    by_leg: bool


@dataclass(frozen=True)
class UnitForm:
    """What a form asks of one unit, in the order of the catalogue; `also_due` points are due and not on it."""

    rows: Sequence[FormPoint]
    also_due: int


def conditions_of(context: WalkContext, form: Form) -> Conditions:
    return Conditions(coupled=context.coupled, walk_kind=KIND_OF_FORM[form], form=form)


def forms_of_units(context: WalkContext, form: Form) -> list[UnitForm]:
    """What the form asks of each unit of the context.

    A short form asks what is asked every time, the measurements whose turn it is, and each fault that is open, deferred
    or newly repaired where it is.
    """
    conditions = conditions_of(context, form)
    return [_of_unit(context, form, unit.pk, conditions) for unit in context.units]


def _of_unit(context: WalkContext, form: Form, unit: UUID, conditions: Conditions) -> UnitForm:
    rows = tuple(asked_of(context.catalogue, context.facts[unit], conditions, context.today))
    answered_on = {row.point.name: _answered_on(context, unit, row) for row in rows}
    listed = {row.point.name for row in on_form(form, rows)}
    in_turn = asked_in_turn(form, (row.point for row in rows), answered_on, context.today)
    faults = context.one_by_one.get(unit, frozenset())
    found, also_due = [], 0
    for row in rows:
        name, places = row.point.name, row.places
        is_due = due(row.point.often, answered_on[name], context.today)
        if name not in listed and name not in in_turn:
            also_due += is_due.now
            reached = not (form is Form.SEALED and row.point.behind_seal)
            places = tuple(place for place in row.places if reached and (name, place) in faults)
            if not places:
                continue
        found.append(FormPoint(AskedPoint(row.point, places), is_due, by_leg=name in listed))
    return UnitForm(found, also_due)


def _answered_on(context: WalkContext, unit: UUID, row: AskedPoint) -> date | None:
    """The day on which every place of a point was last answered, by a value of each or on a full walk."""
    days = []
    values = [context.last.get((unit, row.point.name, place)) for place in row.places]
    measured = [value.measured_at for value in values if value is not None]
    if measured and len(measured) == len(values):
        days.append(day_in_zone(min(measured), context.zone))
    full = context.full_walks.get(unit)
    if full is not None:
        places = frozenset((row.point.name, place) for place in row.places)
        listed = context.catalogue if full.catalogue == context.catalogue.content_hash else None
        if settles(full.look, places, context.facts[unit], context.catalogue, listed) == places:
            days.append(day_in_zone(full.at, context.zone))
    return max(days, default=None)
