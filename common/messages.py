"""Words to people: a code plus facts, turned into a sentence of the reader's language. Holds no sentence of an app."""

import logging
import string
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from django.conf import settings
from django.utils import translation
from django.utils.functional import Promise

logger = logging.getLogger(__name__)

Template = str | Promise

NO_FACTS: Mapping[str, object] = {}
EMPTY: tuple[object, ...] = (None, "", [], {})
NOTHING = "-"
"""What a sentence shows for a list without items."""


@dataclass(frozen=True)
class Message:
    """What is said, before it is worded: a registered code and the facts its sentence names."""

    code: str
    facts: Mapping[str, object] = field(default_factory=dict)
    stored: str = ""
    """The code word that the code was made of, said where a newer release wrote one that has no sentence here."""


@dataclass(frozen=True)
class Wording:
    """A code's sentence with `{fact}` in braces, and a title without facts where the sentence is a problem's."""

    template: Template
    title: Template = ""


_wordings: dict[str, Wording] = {}
_words: dict[tuple[str, str], Template] = {}
"""What a sentence shows for a code word among its facts, by the fact's name and the code word."""


class UnknownCodeError(LookupError):
    """No sentence is registered for a code."""


class MissingFactError(LookupError):
    """A sentence names a fact that its message does not carry."""


def register(code: str, template: Template, *, title: Template = "") -> None:
    """Give a code its sentence (`gettext_lazy`, facts as `{name}`); ValueError when the code has one already."""
    if code in _wordings:
        raise ValueError(f"code {code!r} has a sentence already")
    _wordings[code] = Wording(template, title)


def register_words(fact: str, words: Mapping[str, Template]) -> None:
    """Give the code words that a fact may hold their words, shown in every sentence that names the fact.

    The fact itself stays a code word wherever it is sent or stored. ValueError when one has its word already.
    """
    for value, template in words.items():
        if (fact, str(value)) in _words:
            raise ValueError(f"{value!r} as {fact!r} has a word already")
        _words[fact, str(value)] = template


def registered_codes() -> list[str]:
    """Every code that has a sentence, sorted."""
    return sorted(_wordings)


def of_stored(prefix: str, word: object, facts: Mapping[str, object] = NO_FACTS, *, variant: str = "") -> Message:
    """Return the message of a code word as it was stored: its sentence is registered as `prefix_word`."""
    return Message(f"{prefix}_{word}{variant}", facts, stored=str(word))


def wording(code: str) -> Wording:
    """Return the sentence and title of a code; UnknownCodeError."""
    try:
        return _wordings[code]
    except KeyError:
        raise UnknownCodeError(code) from None


def render(message: Message, language: str) -> str:
    """Return the sentence in `language`; UnknownCodeError and MissingFactError where MESSAGES_STRICT is set.

    Without MESSAGES_STRICT a missing fact is logged as an error and shown as its name in braces: a driver gets the
    rest of the sentence rather than none. A code without a sentence is what a newer release wrote (decision 51): it is
    shown as it stands, with its facts; with MESSAGES_STRICT only where it was made of a stored code word.
    """
    strict = getattr(settings, "MESSAGES_STRICT", False)
    if message.code not in _wordings and (message.stored or not strict):
        return _as_it_stands(message, language)
    with translation.override(language):
        template = str(wording(message.code).template)
    facts = {name: _named(name, value, language) for name, value in message.facts.items()}
    missing = sorted(facts_named(template) - facts.keys())
    if missing:
        if strict:
            msg = f"{message.code} needs {', '.join(missing)}"
            raise MissingFactError(msg)
        logger.error("message %s lacks facts %s", message.code, missing)
        facts.update({name: f"{{{name}}}" for name in missing})
    return template.format_map(facts)


def _as_it_stands(message: Message, language: str) -> str:
    logger.warning("no sentence for %s: a newer release wrote it", message.code)
    facts = (f"{name} {_named(name, value, language)}" for name, value in message.facts.items() if value not in EMPTY)
    return ": ".join(filter(None, (message.stored or message.code, ", ".join(facts))))


def facts_named(template: str) -> set[str]:
    """Return the names of the facts a template asks for."""
    return {name for _, name, _, _ in string.Formatter().parse(template) if name is not None}


def _named(name: str, value: object, language: str) -> str:
    """A fact as its sentence shows it: a code word by its word in the reader's language."""
    if isinstance(value, list | tuple):
        return ", ".join(_named(name, item, language) for item in value) or NOTHING
    template = _words.get((name, str(value))) if isinstance(value, str | bool) else None
    if template is None:
        return word(value, language)
    with translation.override(language):
        return str(template)


def word(value: object, language: str) -> str:
    """Return one fact as a sentence in `language` would spell it; errors as in `render` for a Message.

    A mapping holds a text by language, the service's own among them.
    """
    if isinstance(value, Mapping) and settings.LANGUAGE_CODE in value:
        value = value.get(language.split("-", 1)[0], value[settings.LANGUAGE_CODE])
    if isinstance(value, Message):
        return render(value, language)
    if isinstance(value, list | tuple):
        return ", ".join(word(item, language) for item in value) or NOTHING
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="minutes")
    if isinstance(value, date):
        return value.isoformat()
    return str(value)
