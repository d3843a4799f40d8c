"""The facts of a notification as they are stored, and as its sentence takes them."""

from collections.abc import Mapping
from datetime import datetime, tzinfo

from common.canonical import Plain, plain
from common.messages import Message


def stored_facts(facts: Mapping[str, object]) -> dict[str, Plain]:
    """Facts as JSON: a Message becomes its code and facts, everything else what `common.canonical.plain` makes it.

    ValueError for an instant whose name does not say so: it could not be told from a text afterwards.
    """
    return {name: _stored(name, value) for name, value in facts.items()}


def told_facts(facts: Mapping[str, object], zone: tzinfo) -> dict[str, object]:
    """Stored facts as a sentence takes them: instants in the reader's zone, messages to be worded in theirs."""
    return {name: _told(name, value, zone) for name, value in facts.items()}


def _stored(name: str, value: object) -> Plain:
    if isinstance(value, Message):
        return {"code": value.code, "facts": dict(stored_facts(value.facts))}
    if isinstance(value, list | tuple):
        return [_stored(name, item) for item in value]
    if isinstance(value, datetime) and not _names_instant(name):
        msg = f"an instant among the facts is called `at` or ends in `_at`, not {name!r}"
        raise ValueError(msg)
    return plain(value)


def _told(name: str, value: object, zone: tzinfo) -> object:
    if isinstance(value, Mapping):
        return Message(str(value["code"]), told_facts(value["facts"], zone))
    if isinstance(value, list):
        return [_told(name, item, zone) for item in value]
    if isinstance(value, str) and _names_instant(name):
        return datetime.fromisoformat(value).astimezone(zone)
    return value


def _names_instant(name: str) -> bool:
    return name == "at" or name.endswith("_at")
