"""What a unit's file says of other firms that signed by a link: who confirmed them, and how they found out."""

from pathlib import Path

from defects.services.signing_links.firms import confirm_firm
from tests.support.unit_files import made_file
from tests.support.yard import TAPE, Yard

HOW = "rang the number of the directory"


def test_certificate_of_another_firm__says_who_confirmed_the_firm_and_how(yard: Yard, tmp_path: Path) -> None:
    yard.by_link(yard.finding(TAPE, finding="damaged"))
    confirm_firm(firm="Crookspoke Road Tire", how=HOW, brake_evidence="", actor=yard["hob"], now=yard.later())
    made = made_file(yard.trailer, yard["vera"], yard.later(), tmp_path, name="made")
    confirmed = {row["firm"]: row["firm_confirmed"] for row in made.records("certificates")}
    assert confirmed["Crookspoke Road Tire"]["by"]["name"] == "Hob Anselm"
    assert confirmed["Crookspoke Road Tire"]["how"] == HOW
    assert confirmed.get("") is None
