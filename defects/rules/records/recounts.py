"""How defects, holds and certificates follow from a unit's history.

Whether an open defect is in repair is the shop's, and is not told of the defect: reported and in repair count alike.
"""

from uuid import UUID

from defects.enums import DefectState
from fleet.rules.records.recount import Expected, Facts, Recount, Said

OPEN = frozenset({DefectState.REPORTED, DefectState.IN_REPAIR})
DEFERRED = frozenset({DefectState.DEFERRED, DefectState.IN_REPAIR})
CERTIFIED, CLOSED = frozenset({DefectState.CERTIFIED}), frozenset({DefectState.CLOSED})
GRADED = ("severity", "bars")

SEEN = frozenset({"defect_reported", "defect_raised", "defect_seen_again", "defect_seen_late"})
ENDS: dict[str, frozenset[str]] = {
    "defect_closed": CLOSED,
    "defect_entered_in_error": frozenset({DefectState.ENTERED_IN_ERROR}),
    "deferral_ended": OPEN,
}
"""What an entry says of the state alone."""


def fold_defect(expected: Expected, said: Said) -> None:
    """A defect is found, found again or worse, graded, certified, reopened and ended."""
    body = said.body or {}
    if said.kind == "fault_corrected_on_the_spot" and said.subject not in expected.facts:
        return  # of a fault that never was a defect
    defect = expected.of(said.subject)
    if said.kind in ENDS:
        defect["state"] = ENDS[said.kind]
    elif said.kind == "defect_reopened":
        defect["state"] = _reopened(defect.get("state"))
    elif said.kind == "certificate_signed":
        _certify(defect, body.get("kind"))
    elif said.kind == "fault_corrected_on_the_spot":
        defect["state"] = frozenset({body["state"]}) if body.get("state") else CERTIFIED | CLOSED
    elif said.kind in {"defect_graded", "defect_regraded"}:
        _grade(defect, said)
    elif said.kind != "defect_seen_late":
        _see(defect, said)


def _see(defect: Facts, said: Said) -> None:
    """A new finding, a worse one, or an officer's, which ends a deferral and whose grade is that of the defect."""
    body = said.body or {}
    by_officer = "report_number" in body
    if said.kind == "defect_seen_again" and not by_officer:
        if said.body is None:  # whose it was is not known any more
            defect.clear()
        return
    defect["state"] = OPEN
    if "defect" in body:
        defect["number"] = body["defect"]
    for name in GRADED:
        _know(defect, name, body.get(name))


def _grade(defect: Facts, said: Said) -> None:
    """A grade; what is graded worse is deferred no longer, and whether it was worse may not be known."""
    body = said.body or {}
    for name in GRADED:
        _know(defect, name, body.get(name))
    if said.kind == "defect_regraded" and defect.get("state") == DEFERRED:
        defect["state"] = DEFERRED | OPEN


def _certify(defect: Facts, kind: object) -> None:
    if kind is None:
        defect.pop("state", None)
    else:
        defect["state"] = CERTIFIED if kind == "repaired" else DEFERRED


def _reopened(state: object) -> frozenset[str]:
    """A closed defect stays closed: a new one is its comeback."""
    if state == CLOSED:
        return CLOSED
    return OPEN if state == CERTIFIED else OPEN | CLOSED


def _know(facts: Facts, name: str, value: object) -> None:
    """Take what an entry says; an entry that changes it and does not say to what leaves it unknown."""
    if value is None:
        facts.pop(name, None)
    else:
        facts[name] = value


def fold_hold(expected: Expected, said: Said) -> None:
    """A hold stands until it is lifted."""
    hold = expected.of(said.subject)
    hold["active"] = said.kind == "hold_placed"
    if said.body is not None:
        hold.update(number=said.body["hold"], kind=said.body["kind"])


def fold_certificate(expected: Expected, said: Said) -> None:
    """A certificate is signed once, and never changes; a correction on the spot is one where there was a defect."""
    body = said.body or {}
    on_the_spot = said.kind == "fault_corrected_on_the_spot"
    if body.get("certificate"):
        kind = "repaired" if on_the_spot else body["kind"]
        expected.of(UUID(body["certificate"])).update(defect=str(said.subject), kind=kind)
    elif said.body is None or (on_the_spot and body["defect"] is not None):
        expected.unnamed += 1


CERTIFYING = frozenset({"certificate_signed", "fault_corrected_on_the_spot"})
DEFECTS = Recount(
    "defect", SEEN | ENDS.keys() | CERTIFYING | {"defect_reopened", "defect_graded", "defect_regraded"}, fold_defect
)
HOLDS = Recount("hold", frozenset({"hold_placed", "hold_lifted"}), fold_hold)
CERTIFICATES = Recount("certificate", CERTIFYING, fold_certificate)
