"""An entry of a unit's history as a sentence. Reads nothing: the entry's content is handed in."""

from collections.abc import Mapping

from common import messages
from common.messages import of_stored, word
from fleet.messages.records import PREFIX


def sentence_of_entry(kind: str, said: Mapping[str, object], language: str) -> str:
    """What happened, in the reader's language.

    An entry about a defect names it first, as it was named then: `fault` holds that in every language.
    """
    sentence = messages.render(of_stored(PREFIX, kind, said), language)
    fault = word(said["fault"], language).rstrip(" .") if said.get("fault") else ""
    return ". ".join(filter(None, (fault, sentence)))
