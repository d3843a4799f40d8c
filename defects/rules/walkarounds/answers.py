"""Whether an answer says enough to be used: its value, its correction, its reason. Grades nothing."""

from decimal import Decimal

from defects.enums import NotReached
from defects.rules.catalogue.closed_sets import Who
from defects.rules.catalogue.facts import Observer
from defects.rules.catalogue.points import Measure, Point
from defects.rules.walkarounds.body import CheckBody
from defects.rules.walkarounds.flags import Flag, FlagCode


def usable_value(
    point: Point, value: Decimal | None, unit_of_measure: str | None
) -> tuple[Decimal | None, Flag | None]:
    """The value if it can be compared, else None and why not; (None, None) where none was given."""
    if value is None:
        return None, Flag(FlagCode.VALUE_MISSING) if unit_of_measure else None
    query = _value_query(point.measure, value, unit_of_measure)
    return (value, None) if query is None else (None, query)


def _value_query(measure: Measure | None, value: Decimal, unit_of_measure: str | None) -> Flag | None:
    if measure is None:
        return Flag(FlagCode.VALUE_NOT_ASKED, {"value": str(value)})
    if not unit_of_measure:
        return Flag(FlagCode.UNIT_MISSING, {"expected": measure.unit_of_measure})
    if unit_of_measure != measure.unit_of_measure:
        return Flag(FlagCode.UNIT_WRONG, {"given": unit_of_measure, "expected": measure.unit_of_measure})
    if not value.is_finite() or not measure.minimum <= value <= measure.maximum:
        facts = {"value": str(value), "minimum": str(measure.minimum), "maximum": str(measure.maximum)}
        return Flag(FlagCode.VALUE_IMPLAUSIBLE, facts)
    return None


def may_pass(point: Point, observer: Observer) -> bool:
    """Whether this person's word that all is well counts at this point. A fault anybody may report."""
    if point.who is not Who.MECHANIC:
        return True
    return observer.qualified or (point.for_trained_drivers and observer.trained)


def correction_query(point: Point, check: CheckBody) -> Flag | None:
    """Why a fault cannot count as put right on the spot, or None."""
    if not point.correctable:
        return Flag(FlagCode.NOT_CORRECTABLE_ON_THE_SPOT)
    done = check.correction
    given = {} if done is None else {"what": done.what, "by": done.by, "photo_hash": done.photo}
    missing = [name for name in ("what", "by", "photo_hash") if not given.get(name)]
    return Flag(FlagCode.CORRECTION_INCOMPLETE, {"missing": ", ".join(missing)}) if missing else None


def reason_query(point: Point, check: CheckBody) -> Flag | None:
    """Why "not reached" is no answer here, or None.

    A seal explains only what lies behind it, and a missing helper only what needs one.
    """
    reason = check.reason
    if not reason:
        return Flag(FlagCode.REASON_MISSING)
    if reason not in list(NotReached):
        return Flag(FlagCode.REASON_DOES_NOT_FIT, {"reason": reason})
    sealed = reason == NotReached.SEALED and not point.behind_seal
    helper = reason == NotReached.NO_HELPER and point.who is not Who.DRIVER_WITH_HELPER
    return Flag(FlagCode.REASON_DOES_NOT_FIT, {"reason": reason}) if sealed or helper else None
