"""Words to people: a code plus facts, turned into a sentence of the reader's language. Holds no sentence of an app."""

import logging
import re
import string
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from decimal import Decimal
from functools import cache, lru_cache

from django.conf import settings
from django.utils import translation
from django.utils.formats import date_format, time_format
from django.utils.functional import Promise

from common.composition import contributed, indexed

logger = logging.getLogger(__name__)

Template = str | Promise

NO_FACTS: Mapping[str, object] = {}
EMPTY: tuple[object, ...] = (None, "", [], {})
STORED_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
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


Messages = Mapping[str, Template | Wording]
"""Sentences by their codes: `gettext_lazy`, facts as `{name}`."""
Words = Mapping[str, Mapping[str, Template]]
"""By the name of a fact, what a sentence shows for each code word that it may hold. It stays a code word elsewhere."""


@dataclass(frozen=True, eq=False)
class Sentences:
    """An app's sentences, the words of its code words, and the codes that its database constraints are refused with."""

    tables: tuple[Messages, ...]
    words: Words = field(default_factory=dict)
    constraints: Mapping[str, str] = field(default_factory=dict)


class UnknownCodeError(LookupError):
    """No sentence is registered for a code."""


class MissingFactError(LookupError):
    """A sentence names a fact that its message does not carry."""


def registered_codes() -> list[str]:
    """Every code that has a sentence, sorted."""
    return sorted(_by_code(contributed(Sentences)))


def of_stored(prefix: str, word: object, facts: Mapping[str, object] = NO_FACTS, *, variant: str = "") -> Message:
    """Return the message of a code word as it was stored: its sentence is registered as `prefix_word`."""
    return Message(f"{prefix}_{word}{variant}", facts, stored=str(word))


def wording(code: str) -> Wording:
    """Return the sentence and title of a code; UnknownCodeError."""
    return _of(contributed(Sentences), code)[0]


def render(message: Message, language: str) -> str:
    """Return the sentence in `language`; UnknownCodeError and MissingFactError where MESSAGES_STRICT is set.

    Without MESSAGES_STRICT a missing fact is logged as an error and shown as its name in braces: a driver gets the
    rest of the sentence rather than none. A code without a sentence is what a newer release wrote (decision 51): it is
    shown as it stands, with its facts; with MESSAGES_STRICT only where it was made of a stored code word.
    """
    apps = contributed(Sentences)
    strict = getattr(settings, "MESSAGES_STRICT", False)
    if message.code not in _by_code(apps) and (message.stored or not strict):
        return _as_it_stands(message, language)
    template, named, words = _in_language(apps, message.code, language)
    facts = {name: _named(name, message.facts[name], language, words) for name in named & message.facts.keys()}
    missing = sorted(named - facts.keys())
    if missing:
        if strict:
            msg = f"{message.code} needs {', '.join(missing)}"
            raise MissingFactError(msg)
        logger.error("message %s lacks facts %s", message.code, missing)
        facts.update({name: f"{{{name}}}" for name in missing})
    return template.format_map(facts)


@cache
def _in_language(
    apps: tuple[Sentences, ...], code: str, language: str
) -> tuple[str, frozenset[str], Mapping[tuple[str, str], str]]:
    """The sentence of a code in a language, the facts that it names, and the words for them; UnknownCodeError."""
    said, own = _of(apps, code)
    with translation.override(language):
        template = str(said.template)
    return template, frozenset(facts_named(template)), _words(apps, own, language)


def _as_it_stands(message: Message, language: str) -> str:
    logger.warning("no sentence for %s: a newer release wrote it", message.code)
    words = _words(contributed(Sentences), None, language)
    facts = (
        f"{name} {_named(name, value, language, words)}" for name, value in message.facts.items() if value not in EMPTY
    )
    return ": ".join(filter(None, (message.stored or message.code, ", ".join(facts))))


def facts_named(template: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(template) if name is not None}


def _named(name: str, value: object, language: str, words: Mapping[tuple[str, str], str]) -> str:
    """A fact as its sentence shows it: a code word by the word of the sentence's own app, or else of another."""
    if isinstance(value, list | tuple):
        return ", ".join(_named(name, item, language, words) for item in value) or NOTHING
    shown = words.get((name, str(value))) if isinstance(value, str | bool) else None
    return word(value, language) if shown is None else shown


def shown_word(name: str, value: object, language: str) -> str:
    """Return a code word as a sentence shows it that has it as its fact `name`."""
    return _named(name, value, language, _words(contributed(Sentences), None, language))


def _of(apps: tuple[Sentences, ...], code: str) -> tuple[Wording, Sentences]:
    """The code's sentence and its app; UnknownCodeError."""
    try:
        return _by_code(apps)[code]
    except KeyError:
        raise UnknownCodeError(code) from None


@cache
def _by_code(apps: tuple[Sentences, ...]) -> dict[str, tuple[Wording, Sentences]]:
    return indexed(
        (code, (said if isinstance(said, Wording) else Wording(said), app))
        for app in apps
        for table in app.tables
        for code, said in table.items()
    )


@cache
def _words(apps: tuple[Sentences, ...], own: Sentences | None, language: str) -> dict[tuple[str, str], str]:
    """The words of every app in a language; where two have one, the own app's, or else the lower app's."""
    with translation.override(language):
        return {
            (fact, value): str(template)
            for app in (*reversed(apps), *filter(None, (own,)))
            for fact, words in app.words.items()
            for value, template in words.items()
        }


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
    if isinstance(value, str) and STORED_DAY.fullmatch(value):
        value = _day_of(value)
    if isinstance(value, date):
        return shown_day(value, language)
    return str(value)


def _day_of(text: str) -> date | str:
    """A day that was stored as a text; the text itself where the calendar has no such day."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def shown_day(value: date, language: str) -> str:
    """Return a day as `Fri 11 Dec 2026`, and an instant as `Fri 11 Dec 12:27 AM` in the zone that it carries.

    A document's day may be years away and says its year; what happened or is to happen at an hour is near. An instant
    in UTC says so.
    """
    if not isinstance(value, datetime):
        return _spelled(value, "D j M Y", language)
    day, hour = _spelled(value.date(), "D j M", language), _spelled(time(value.hour, value.minute), "g:i A", language)
    return f"{day} {hour} UTC" if value.tzname() == "UTC" else f"{day} {hour}"


@lru_cache(maxsize=4096)
def _spelled(value: date | time, shape: str, language: str) -> str:
    """A day or an hour in Django's shape; kept, since a page tells the same ones over and over."""
    with translation.override(language):
        text = (
            date_format(value, shape, use_l10n=False)
            if isinstance(value, date)
            else time_format(value, shape, use_l10n=False)
        )
    # Django spells some of the Spanish months with a capital.
    return text.lower() if language.startswith("es") and isinstance(value, date) else text


def activate_for(person: object) -> None:
    """Word everything from here on in the person's `language`, if there is one that this service speaks."""
    language = getattr(person, "language", None)
    if language in dict(settings.LANGUAGES):
        translation.activate(language)


def current_language() -> str:
    """Return the language in force: that of the person or of the request, else the service's own."""
    return translation.get_language() or settings.LANGUAGE_CODE
