"""A unit's history names each defect by its fault, in the reader's language, as it was named when it was written."""

from defects.enums import Bars, Severity
from defects.models import Defect
from fleet.selectors.records.history_sentences import sentence_of_entry
from tests.support.acting import acting_as
from tests.support.yard import TAPE, Yard, photo_on

ENGLISH = "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in"
SPANISH = "Carrera de la varilla de empuje, eje 2 derecha: 2.31 in, límite 2 in"


def texts(by: str) -> dict[str, str]:
    entries = acting_as(by).get("units/LR-46/history").json()["results"]
    return {entry["kind"]: entry["text"] for entry in entries}


def newest(by: str, kind: str) -> str:
    entries = acting_as(by).get("units/LR-46/history").json()["results"]
    text: str = next(entry["text"] for entry in entries if entry["kind"] == kind)
    return text


def test_defect_and_hold__named_by_the_fault_to_each_in_their_language(yard: Yard) -> None:
    yard["greta"].language = "es"
    yard["greta"].save()
    defect = yard.stroke()
    hold = defect.holds.get()

    english, spanish = texts("hob"), texts("greta")

    assert english["defect_reported"] == f"{ENGLISH}. Defect {defect.number} was reported."
    assert english["hold_placed"] == f"Hold {hold.number} was placed: {ENGLISH}"
    assert spanish["defect_reported"].startswith(f"{SPANISH}. ")
    assert spanish["hold_placed"].endswith(SPANISH)


def test_defect_named_anew_later__older_entries_keep_the_name_of_their_day(yard: Yard) -> None:
    defect = yard.stroke()
    Defect.objects.filter(pk=defect.pk).update(value="2.9")
    assert texts("hob")["defect_reported"].startswith(ENGLISH)


def test_hold_for_a_defect_with_a_reason_of_its_own__the_fault_then_the_reason(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.socket")
    yard.regrade(defect, Severity.DO_NOT_MOVE, Bars.MOVEMENT, reason="the whole rear is dark")
    number = defect.holds.get().number
    assert texts("hob")["hold_placed"] == (
        f"Trailer electrical socket: corroded or loose. Hold {number} was placed: the whole rear is dark"
    )


def test_test_repeated__said_whether_it_passed_or_failed_again(yard: Yard) -> None:
    yard["greta"].language = "es"
    yard["greta"].save()
    defect = yard.finding("brakes.trailer.emergency-application")
    yard.repeat_test(defect, passed=False)
    assert f"Defect {defect.number}: Sol Marrin repeated the test, it failed again." in newest("hob", "test_repeated")
    assert "volvió a fallar" in newest("greta", "test_repeated")
    yard.repeat_test(defect)
    assert "repeated the test, it passed." in newest("hob", "test_repeated")


def test_certificate__said_what_it_certifies_and_for_which_firm(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    yard.dismiss(defect, photo=photo_on(defect))
    assert "Greta Lind certified: repair unnecessary. " in newest("hob", "certificate_signed")
    yard.by_link(defect, photo=photo_on(defect, "b" * 64))
    assert "Rita Sand, Crookspoke Road Tire certified: repaired. " in newest("hob", "certificate_signed")


def test_entry_from_before_faults_were_named__said_without() -> None:
    assert sentence_of_entry("defect_reported", {"defect": 7}, "en") == "Defect 7 was reported."


def test_fault_in_own_words__no_double_stop() -> None:
    said = {"defect": 7, "fault": {"en": "It knocks.", "es": "It knocks."}}
    assert sentence_of_entry("defect_reported", said, "en") == "It knocks. Defect 7 was reported."


def test_load_at_risk__the_history_says_through_which_fault() -> None:
    said = {"load": "LD-903", "defect": 7, "fault": {"en": "Cooling unit exhaust: leak, or heat on the skin"}}
    assert sentence_of_entry("load_at_risk_opened", said, "es-mx").startswith("Cooling unit exhaust: ")
