"""The message that carries notifications to one person: subject, plain text and HTML in that person's language."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from itertools import groupby

from django.db.models import Case, IntegerField, QuerySet, Value, When
from django.db.models.fields.json import KT
from django.template.loader import render_to_string

from common.messages import Message, registered_codes, render, word
from fleet.enums import ENDING, IN_GRACE, MISSING, OVERDUE, Channel
from fleet.messages.notifications import SUBJECT
from fleet.models import Delivery, Notification
from fleet.services.notifications.create import facts_in_zone

HAPPENED = "mail_group_happened"

GROUPS = (
    (HAPPENED, ()),
    ("mail_group_unanswered", ("unanswered_days",)),
    ("mail_group_overdue", (OVERDUE,)),
    ("mail_group_missing", (MISSING,)),
    ("mail_group_in_grace", (IN_GRACE,)),
    ("mail_group_ending", (ENDING,)),
)
"""Headings with the codes under them, in order; the first takes every code that no other names."""

_PLACE = {code: place for place, (_, codes) in enumerate(GROUPS) for code in codes}


def ordered_by_group(notifications: QuerySet[Notification]) -> QuerySet[Notification]:
    """The notifications by group, documents by their last day, the rest as they came."""
    place = Case(
        *(When(code__in=codes, then=Value(place)) for place, (_, codes) in enumerate(GROUPS) if codes),
        default=Value(0),
        output_field=IntegerField(),
    )
    return notifications.order_by(place, KT("facts__ends_on").asc(nulls_first=True), "created_at", "pk")


def in_order(notifications: Iterable[Notification]) -> list[Notification]:
    """The same order, of notifications whose codes and days are no longer those that are stored."""

    def place(notification: Notification) -> tuple[object, ...]:
        return (
            _PLACE.get(notification.code, 0),
            str(notification.facts.get("ends_on", "")),
            notification.created_at,
            notification.pk,
        )

    return sorted(notifications, key=place)


def in_groups(notifications: Iterable[Notification]) -> Iterator[tuple[str, list[Notification]]]:
    """Notifications in that order, by the code of their heading."""
    for place, group in groupby(notifications, key=lambda notification: _PLACE.get(notification.code, 0)):
        yield GROUPS[place][0], list(group)


@dataclass(frozen=True)
class Reader:
    """Whom a message is for: name, address, language (`en`, `es`) and the zone that instants are shown in."""

    name: str
    address: str
    language: str
    zone: tzinfo


@dataclass(frozen=True)
class Mail:
    """A message ready to leave; sent again it has the same `message_id`. `subject` is one line."""

    to: str
    subject: str
    text: str
    html: str
    language: str
    message_id: str
    notifications: Sequence[Mapping[str, object]] = ()
    """Each notification by itself, where a program reads it: plain values of JSON."""


def write_mail(delivery: Delivery, notifications: Sequence[Notification], *, more: int, reader: Reader) -> Mail:
    """The message of a delivery: its notifications worded one by one, and how many more it stands for."""
    language = reader.language
    opening = Message("mail_urgent" if delivery.summary_on is None else "mail_summary")
    around = {
        "greeting": Message("mail_greeting", {"name": reader.name}),
        "opening": opening,
        "more": Message("mail_more", {"count": more}),
        "please": Message("mail_please"),
        "caution": Message("mail_caution"),
    }
    # A fault told in a person's own words may hold line ends, which no header may.
    subject = " ".join(render(_subject(delivery, notifications, more, reader), language).split())
    context = {name: render(message, language) for name, message in around.items()} | {
        "language": language,
        "subject": subject,
        "groups": _groups(notifications, reader),
        "cut": more > 0,
    }
    return Mail(
        to=reader.address,
        subject=subject,
        text=render_to_string("fleet/notifications/mail.txt", context),
        html=render_to_string("fleet/notifications/mail.html", context),
        language=language,
        message_id=delivery.message_id,
        notifications=[_as_json(notification, reader) for notification in notifications]
        if delivery.channel == Channel.WEBHOOK
        else (),
    )


def _as_json(notification: Notification, reader: Reader) -> dict[str, object]:
    return {
        "id": str(notification.pk),
        "kind": notification.kind,
        "code": notification.code,
        "urgent": notification.urgent,
        "created_at": notification.created_at.isoformat(),
        "facts": worded_facts(notification, language=reader.language, zone=reader.zone),
        "text": sentence_of(notification, language=reader.language, zone=reader.zone),
    }


def _groups(notifications: Sequence[Notification], reader: Reader) -> list[dict[str, object]]:
    """The sentences by group; a group that stands alone and is of what happened needs no heading."""
    groups = list(in_groups(notifications))
    bare = [heading for heading, _ in groups] == [HAPPENED]
    return [
        {
            "heading": "" if bare else render(Message(heading), reader.language),
            "sentences": [
                sentence_of(notification, language=reader.language, zone=reader.zone) for notification in group
            ],
        }
        for heading, group in groups
    ]


def sentence_of(notification: Notification, *, language: str, zone: tzinfo) -> str:
    """What a notification says, in a language and with instants in a zone."""
    return render(_message(notification, zone), language)


def worded_facts(notification: Notification, *, language: str, zone: tzinfo) -> dict[str, str]:
    """The facts of a notification, each in a language; instants and days as ISO 8601 writes them, in a zone."""
    return {
        name: value.isoformat(sep=" ", timespec="minutes")
        if isinstance(value, datetime)
        else str(value)
        if name.endswith("_on")
        else word(value, language)
        for name, value in facts_in_zone(notification.facts, zone).items()
    }


def _message(notification: Notification, zone: tzinfo) -> Message:
    return Message(notification.code, facts_in_zone(notification.facts, zone))


def _subject(delivery: Delivery, notifications: Sequence[Notification], more: int, reader: Reader) -> Message:
    count = len(notifications) + more
    if delivery.summary_on is not None:
        return Message("mail_summary_subject", {"day": delivery.summary_on, "count": count})
    first = _short(_message(notifications[0], reader.zone))
    return first if count == 1 else Message("mail_several_subject", {"first": first, "others": count - 1})


def _short(message: Message) -> Message:
    """The message by the code of its subject where there is one, and the messages among its facts likewise."""
    short = f"{message.code}{SUBJECT}"
    if short not in registered_codes():
        return message
    facts = {name: _short(value) if isinstance(value, Message) else value for name, value in message.facts.items()}
    return Message(short, facts)
