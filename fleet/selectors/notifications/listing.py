"""What a person is notified of, how it left, and what could not leave."""

from zoneinfo import ZoneInfo

from django.db.models import Prefetch, QuerySet, Subquery
from django.db.models.functions import Coalesce

from fleet.enums import DeliveryState
from fleet.models import Carrier, Delivery, Notification, Person
from fleet.selectors.carrier.carrier import BEFORE_THE_CARRIER


def notifications_of(person: Person) -> QuerySet[Notification]:
    """Return a person's own notifications with their units and how each left."""
    deliveries = Prefetch("deliveries", Delivery.objects.order_by("pk"))
    return Notification.objects.filter(person=person).select_related("unit").prefetch_related(deliveries)


def parked_deliveries() -> QuerySet[Delivery]:
    """Return the deliveries that failed for the last time, to whomever, with what they were to carry."""
    carried = Prefetch("notifications", Notification.objects.select_related("unit").order_by("created_at", "pk"))
    parked = Delivery.objects.filter(state=DeliveryState.PARKED)
    return parked.select_related("person").prefetch_related(carried)


def zone_of(person: Person) -> ZoneInfo:
    """Return the zone in which a person reads instants: the home site's, else the carrier's; in one statement."""
    carriers = Subquery(Carrier.objects.values("time_zone")[:1])
    found = (
        Person.objects.filter(pk=person.pk).values_list(Coalesce("home_site__time_zone", carriers), flat=True).first()
    )
    return ZoneInfo(found or BEFORE_THE_CARRIER)
