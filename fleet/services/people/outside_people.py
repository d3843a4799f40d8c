"""People of other firms who work or sign for us: found again by name and firm, else added on the spot."""

from django.db import transaction

from common.errors import Invalid
from fleet.models import Carrier, Person
from fleet.services.people.people import create_person


@transaction.atomic
def outside_person(*, name: str, firm: str, actor: Person, title: str = "") -> Person:
    """The person without a sign-in who has that name at that firm, added when there is none.

    Invalid `firm_is_the_carrier`: the carrier's own people sign in, and nobody signs in their names.
    """
    if Carrier.objects.filter(name__iexact=" ".join(firm.split())).exists():
        raise Invalid("firm_is_the_carrier", pointer="/firm")
    known = Person.objects.filter(username__isnull=True, name__iexact=name, firm__iexact=firm, left_on__isnull=True)
    found = known.order_by("pk").first()
    if found is not None:
        return found
    return create_person(facts={"name": name, "firm": firm, "title": title}, password=None, actor=actor)
