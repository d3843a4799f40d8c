"""An entry of a unit's history as a sentence. Reads nothing: the entry's content is handed in."""

from collections.abc import Mapping

from common import messages
from common.messages import Message, of_stored, word
from fleet.messages.records import PREFIX

NAMED_BEFORE = {"found": "finding"}
"""Facts that older entries call by another name."""


def sentence_of_entry(kind: str, said: Mapping[str, object], language: str) -> str:
    """What happened, in the reader's language.

    An entry about a defect names it first, as it was named then: `fault` holds that in every language; one
    that the driver only heard of says from whom.
    """
    facts = {now: said[before] for now, before in NAMED_BEFORE.items() if before in said}
    sentence = messages.render(of_stored(PREFIX, kind, {**facts, **said}), language)
    fault = word(said["fault"], language).rstrip(" .") if said.get("fault") else ""
    named = ". ".join(filter(None, (fault, sentence)))
    heard_from = said.get("heard_from")
    return (
        f"{named} {messages.render(Message('heard_from', {'heard_from': heard_from}), language)}"
        if heard_from
        else named
    )
