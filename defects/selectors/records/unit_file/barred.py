"""The sections on what barred the unit: holds with their lift, refusals with the second look, moves meanwhile."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from defects.messages.holds import HOLD_KINDS
from defects.models import Hold, LimitedMove, Refusal, YardMove
from defects.selectors.defects.naming import names_of_hold
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record, signature_record
from fleet.selectors.records.unit_file.sections import CHUNK, Column, FileScope, Record, Section

LIFT_FLAGS = {
    "same_person": gettext_lazy("Lifted by one who had a part in the repair."),
    "entered_in_error": gettext_lazy("Lifted because a defect was entered in error."),
}
"""What a flag of a lift means."""


def read_holds(scope: FileScope) -> Iterator[Record]:
    """Every hold that stood in the days asked for."""
    holds = Hold.objects.filter(scope.running("placed_at", "lifted_at"), unit=scope.unit).select_related(
        "defect", "roadside", "placed_by", "lifted_by", "lift_signature__signer", "lift_signature__token_owner"
    )
    for hold in holds.order_by("number").iterator(CHUNK):
        yield {
            "id": hold.pk,
            "number": hold.number,
            "kind": hold.kind,
            "defect": None if hold.defect is None else hold.defect.number,
            "roadside_report": None if hold.roadside is None else hold.roadside.report_number,
            "reason": hold.reason,
            "what": names_of_hold(hold),
            "placed_at": hold.placed_at,
            "placed_by": person_record(hold.placed_by),
            "lifted_at": hold.lifted_at,
            "lifted_by": person_record(hold.lifted_by),
            "lift_signature": signature_record(hold.lift_signature),
            "lift_reason": hold.lift_reason,
            "lift_flag": hold.lift_flag,
        }


def hold_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """Why it was placed by whom, and who lifted it."""
    placed = f"{words.instant(record['placed_at'])}\n{words.person(record['placed_by'])}"
    lifted = words.signature(record["lift_signature"]) if record["lifted_at"] else _("active")
    reason = f"{words.label(HOLD_KINDS, record['kind'])}\n{words.either(record['what'])}"
    flagged = [str(LIFT_FLAGS[flag]) for flag in record["lift_flag"].split(", ") if flag]
    yield str(record["number"]), reason, placed, "\n".join(filter(None, (lifted, record["lift_reason"], *flagged)))


def read_refusals(scope: FileScope) -> Iterator[Record]:
    """Every refusal of the days asked for, with the driver's own copy."""
    refusals = Refusal.objects.filter(scope.within("refused_at"), unit=scope.unit).select_related(
        "person",
        "signature__signer",
        "signature__token_owner",
        "second_look__person",
        "second_look__signature__signer",
        "second_look__signature__token_owner",
    )
    for refusal in refusals.order_by("refused_at", "pk").iterator(CHUNK):
        look = getattr(refusal, "second_look", None)
        yield {
            "id": refusal.pk,
            "person": person_record(refusal.person),
            "reason": refusal.reason,
            "refused_at": refusal.refused_at,
            "signature": signature_record(refusal.signature),
            "copy": refusal.copy,
            "copy_hash": refusal.copy_hash,
            "second_look": None
            if look is None
            else {
                "person": person_record(look.person),
                "found": look.found,
                "looked_at": look.looked_at,
                "signature": signature_record(look.signature),
            },
        }


def refusal_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """Who refused why, and what the second person found."""
    look = record["second_look"]
    second = _("no second look yet")
    if look is not None:
        second = f"{words.person(look['person'])}, {words.instant(look['looked_at'])}\n{look['found']}"
    yield words.signature(record["signature"]), record["reason"], second


def read_moves(scope: FileScope) -> Iterator[Record]:
    """Moves in the yard, then limited moves on the road."""
    yard = YardMove.objects.filter(scope.within("moved_at"), unit=scope.unit).select_related("person", "site")
    for move in yard.order_by("moved_at", "pk").iterator(CHUNK):
        yield {
            "id": move.pk,
            "kind": "yard",
            "at": move.moved_at,
            "from": move.from_place,
            "to": move.to_place,
            "site": move.site.name,
            "why": move.reason,
            "person": person_record(move.person),
        }
    limited = LimitedMove.objects.filter(scope.within("approved_at"), unit=scope.unit)
    for trip in limited.select_related("driver", "approved_by").order_by("approved_at", "pk").iterator(CHUNK):
        yield {
            "id": trip.pk,
            "kind": "limited",
            "at": trip.approved_at,
            "from": trip.found_at_place,
            "to": trip.to_place,
            "distance_mi": trip.distance_mi,
            "from_mi": trip.from_mi,
            "why": trip.why_nearest,
            "why_less_hazardous": trip.why_less_hazardous,
            "conditions": trip.conditions,
            "person": person_record(trip.driver),
            "driver_consented_at": trip.driver_consented_at,
            "approved_by": person_record(trip.approved_by),
            "ends_at": trip.ends_at,
            "ended_at": trip.ended_at,
            "end_note": trip.end_note,
        }


def move_rows(record: Record, words: Words) -> Iterator[Sequence[str]]:
    """When, from where to where, why, and by whom."""
    way, who, why = f"{record['from']}\n- {record['to']}", words.person(record["person"]), record["why"]
    kind = _("in the yard")
    if record["kind"] == "limited":
        kind = _("limited move, {distance} mi").format(distance=record["distance_mi"])
        why = f"{why}\n{record['why_less_hazardous']}"
        who = f"{who}\n{_('allowed by {name}').format(name=words.person(record['approved_by']))}"
    yield f"{words.instant(record['at'])}\n{kind}", way, why, who


HOLDS = Section(
    name="holds",
    place=110,
    title=gettext_lazy("Holds and officers' orders"),
    source="49 CFR 396.7, 396.9(c)",
    empty=gettext_lazy("No hold was active in this period."),
    read=read_holds,
    columns=(
        Column(gettext_lazy("No."), 0.08),
        Column(gettext_lazy("Why"), 0.4),
        Column(gettext_lazy("Placed"), 0.24),
        Column(gettext_lazy("Lifted"), 0.28),
    ),
    rows=hold_rows,
)
REFUSALS = Section(
    name="refusals",
    place=120,
    title=gettext_lazy("Refusals by drivers"),
    source="49 CFR 390.6",
    empty=gettext_lazy("No driver refused the unit in these days."),
    read=read_refusals,
    columns=(
        Column(gettext_lazy("Refused by"), 0.3),
        Column(gettext_lazy("Why"), 0.35),
        Column(gettext_lazy("Second look"), 0.35),
    ),
    rows=refusal_rows,
)
MOVES = Section(
    name="moves",
    place=130,
    title=gettext_lazy("Moves while barred"),
    source="49 CFR 396.7(b)",
    empty=gettext_lazy("No move of the barred unit is recorded in these days."),
    read=read_moves,
    columns=(
        Column(gettext_lazy("When"), 0.22),
        Column(gettext_lazy("From and to"), 0.26),
        Column(gettext_lazy("Why"), 0.3),
        Column(gettext_lazy("Who"), 0.22),
    ),
    rows=move_rows,
)
