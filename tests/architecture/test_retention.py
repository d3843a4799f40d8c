"""Every kind of entry that the service writes into a history says how long it is kept."""

from common.composition import contributed
from common.messages import registered_codes
from fleet.messages.records import PREFIX
from fleet.rules.records.retention import Retention


def test_every_entry_that_has_a_sentence__is_kept_by_a_rule_and_the_other_way_round() -> None:
    told = {code.removeprefix(f"{PREFIX}_") for code in registered_codes() if code.startswith(f"{PREFIX}_")}

    assert len(told) > 50
    assert {event for retention in contributed(Retention) for event in retention.events} == told
