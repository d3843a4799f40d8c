"""How a person can be reached: which channels have an address, and whether anything can leave by them."""

from datetime import datetime

from django.conf import settings
from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.enums import Channel
from fleet.models import Person, PersonRole, WebhookEndpoint
from fleet.selectors.carrier.carrier import carriers_day


def channels_of(person: Person, *, posted: bool) -> list[Channel]:
    """The channels that reach a person; none for one who has left or has no address. `posted`: has an open webhook."""
    reached = {Channel.MAIL: bool(person.email), Channel.WEBHOOK: posted}
    return [channel for channel, there in reached.items() if there and person.is_active]


def can_be_reached(person: Person, *, posted: bool) -> bool:
    """Whether a message to the person can leave: there is an address, and for mail a server that takes it."""
    channels = channels_of(person, posted=posted)
    return Channel.WEBHOOK in channels or (Channel.MAIL in channels and settings.MAIL_SERVER_SET)


def open_webhook(person: str) -> Exists:
    """Whether the person that a column of the outer query names has an address to post to."""
    return Exists(WebhookEndpoint.objects.filter(person_id=OuterRef(person), closed_at__isnull=True))


HAS_ADDRESS = ~Q(email="") | open_webhook("pk")
"""Of people: there is an address of theirs, by mail or to post to."""


def people_without_address(*, now: datetime) -> QuerySet[Person]:
    """The people with a role in force whom no message can reach."""
    held = PersonRole.objects.in_force(carriers_day(now)).values("person")
    return Person.objects.filter(pk__in=held, left_on__isnull=True).exclude(HAS_ADDRESS)
