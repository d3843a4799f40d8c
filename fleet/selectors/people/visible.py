"""Which rows a person may see; what is left out answers as if it were not there."""

from django.db.models import Q, QuerySet

from fleet.enums import Role
from fleet.models import DeviceToken, Document, FeedToken, Person, Qualification

_KNOW_PEOPLE = frozenset({Role.ADMINISTRATOR, Role.AUDITOR, Role.COMPLIANCE, Role.DISPATCH, Role.FOREMAN, Role.TRAINER})
"""They call, assign and train people, so they see who there is; a person's record is something else."""

_KNOW_RECORDS = frozenset({Role.ADMINISTRATOR, Role.AUDITOR, Role.COMPLIANCE})
_KNOW_SKILLS = _KNOW_RECORDS | {Role.FOREMAN}
"""A foreman assigns work by qualification."""


def people_visible_to(person: Person) -> QuerySet[Person]:
    """Return everybody, or oneself alone."""
    everybody = Person.objects.all()
    return everybody if _holds(person, _KNOW_PEOPLE) else everybody.filter(pk=person.pk)


def qualifications_visible_to(person: Person) -> QuerySet[Qualification]:
    """Return everybody's qualifications, or one's own."""
    rows = Qualification.objects.all()
    return rows if _holds(person, _KNOW_SKILLS) else rows.filter(person=person)


def documents_visible_to(person: Person) -> QuerySet[Document]:
    """Return the documents of every unit and of the carrier, and those of people, or of oneself alone."""
    rows = Document.objects.all()
    return rows if sees_records(person) else rows.filter(Q(person__isnull=True) | Q(person=person))


def sees_records(person: Person) -> bool:
    """Whether a person sees everybody's documents and not only one's own."""
    return _holds(person, _KNOW_RECORDS)


def tokens_visible_to(person: Person) -> QuerySet[DeviceToken]:
    """Return everybody's devices, or one's own."""
    rows = DeviceToken.objects.filter(revoked_at__isnull=True)
    return rows if Role.ADMINISTRATOR in person.current_roles else rows.filter(person=person)


def feeds_visible_to(person: Person) -> QuerySet[FeedToken]:
    """Return everybody's feeds that were not revoked, or one's own."""
    rows = FeedToken.objects.filter(revoked_at__isnull=True)
    return rows if Role.ADMINISTRATOR in person.current_roles else rows.filter(person=person)


def _holds(person: Person, roles: frozenset[Role]) -> bool:
    return not roles.isdisjoint(person.current_roles)
