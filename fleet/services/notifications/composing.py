"""The message that carries notices to one person: subject, plain text and HTML in that person's language."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from django.template.loader import render_to_string

from common.messages import Message, registered_codes, render, word
from fleet.enums import Channel
from fleet.messages.notifications import SUBJECT
from fleet.models import Delivery, Notice
from fleet.services.notifications.grouping import HAPPENED, in_groups
from fleet.services.notifications.stored_facts import told_facts


@dataclass(frozen=True)
class Reader:
    """Whom a message is for: name, address, language (`en`, `es`) and the zone that instants are shown in."""

    name: str
    address: str
    language: str
    zone: tzinfo


@dataclass(frozen=True)
class Letter:
    """A message ready to leave; sent again it has the same `message_id`. `subject` is one line."""

    to: str
    subject: str
    text: str
    html: str
    language: str
    message_id: str
    told: Sequence[Mapping[str, object]] = ()
    """Each notice by itself, where a program reads it: plain values of JSON."""


def write_letter(delivery: Delivery, notices: Sequence[Notice], *, more: int, reader: Reader) -> Letter:
    """The message of a delivery: its notices worded one by one, and how many more it stands for."""
    language = reader.language
    opening = Message("letter_urgent" if delivery.digest_on is None else "letter_digest")
    around = {
        "greeting": Message("letter_greeting", {"name": reader.name}),
        "opening": opening,
        "more": Message("letter_more", {"count": more}),
        "please": Message("letter_please"),
        "caution": Message("letter_caution"),
    }
    # A fault told in a person's own words may hold line ends, which no header may.
    subject = " ".join(render(_subject(delivery, notices, more, reader), language).split())
    context = {name: render(message, language) for name, message in around.items()} | {
        "language": language,
        "subject": subject,
        "groups": _groups(notices, reader),
        "cut": more > 0,
    }
    return Letter(
        to=reader.address,
        subject=subject,
        text=render_to_string("fleet/notices/letter.txt", context),
        html=render_to_string("fleet/notices/letter.html", context),
        language=language,
        message_id=delivery.message_id,
        told=[_told(notice, reader) for notice in notices] if delivery.channel == Channel.WEBHOOK else (),
    )


def _told(notice: Notice, reader: Reader) -> dict[str, object]:
    return {
        "id": str(notice.pk),
        "kind": notice.kind,
        "code": notice.code,
        "urgent": notice.urgent,
        "owed_at": notice.owed_at.isoformat(),
        "facts": worded_facts(notice, language=reader.language, zone=reader.zone),
        "text": sentence_of(notice, language=reader.language, zone=reader.zone),
    }


def _groups(notices: Sequence[Notice], reader: Reader) -> list[dict[str, object]]:
    """The sentences by group; a group that stands alone and is of what happened needs no heading."""
    groups = list(in_groups(notices))
    bare = [heading for heading, _ in groups] == [HAPPENED]
    return [
        {
            "heading": "" if bare else render(Message(heading), reader.language),
            "sentences": [sentence_of(notice, language=reader.language, zone=reader.zone) for notice in group],
        }
        for heading, group in groups
    ]


def sentence_of(notice: Notice, *, language: str, zone: tzinfo) -> str:
    """What a notice says, in a language and with instants in a zone."""
    return render(_message(notice, zone), language)


def worded_facts(notice: Notice, *, language: str, zone: tzinfo) -> dict[str, str]:
    """The facts of a notice, each in words of a language; instants and days as ISO 8601 writes them, in a zone."""
    return {
        name: value.isoformat(sep=" ", timespec="minutes")
        if isinstance(value, datetime)
        else str(value)
        if name.endswith("_on")
        else word(value, language)
        for name, value in told_facts(notice.facts, zone).items()
    }


def _message(notice: Notice, zone: tzinfo) -> Message:
    return Message(notice.code, told_facts(notice.facts, zone))


def _subject(delivery: Delivery, notices: Sequence[Notice], more: int, reader: Reader) -> Message:
    count = len(notices) + more
    if delivery.digest_on is not None:
        return Message("letter_digest_subject", {"day": delivery.digest_on, "count": count})
    first = _short(_message(notices[0], reader.zone))
    return first if count == 1 else Message("letter_several_subject", {"first": first, "others": count - 1})


def _short(message: Message) -> Message:
    """The message by the code of its subject where there is one, and the messages among its facts likewise."""
    short = f"{message.code}{SUBJECT}"
    if short not in registered_codes():
        return message
    facts = {name: _short(value) if isinstance(value, Message) else value for name, value in message.facts.items()}
    return Message(short, facts)
