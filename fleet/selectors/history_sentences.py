"""An entry of a unit's history as a sentence. Reads nothing: the entry's content is handed in."""

from collections.abc import Mapping

from common import messages
from common.messages import Message, word
from fleet.messages.history import PREFIX


def sentence_of_entry(kind: str, said: Mapping[str, object], language: str) -> str:
    """What happened, in the reader's language; the bare kind where nobody gave it a sentence.

    An entry about a defect names it first, as it was named then: `fault` holds that in every language.
    """
    code = PREFIX + kind
    if code not in messages.registered_codes():
        return kind
    sentence = messages.render(Message(code, said), language)
    fault = word(said["fault"], language).rstrip(" .") if said.get("fault") else ""
    return ". ".join(filter(None, (fault, sentence)))
