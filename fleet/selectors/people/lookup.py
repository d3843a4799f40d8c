"""Finding people by what a list calls them: the name they sign in with, their name, or name and firm."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from django.db.models import Q, QuerySet
from django.db.models.functions import Lower

from fleet.enums import PersonState
from fleet.models import Person


def name_and_firm(name: str, firm: str) -> str:
    """Return how a person without a sign-in is told apart from others of the same name."""
    return f"{name} ({firm})" if firm else name


class PeopleByName:
    """The people here whom a list of names can mean, in one statement."""

    def __init__(self, people: QuerySet[Person], names: Iterable[str]) -> None:
        wanted = sorted({form for name in names for form in (name.lower(), name.lower().rpartition(" (")[0]) if form})
        self._found: defaultdict[str, list[Person]] = defaultdict(list)
        if not wanted:
            return
        rows = people.filter(left_on__isnull=True).alias(lower_name=Lower("name"), lower_username=Lower("username"))
        for person in rows.filter(Q(lower_username__in=wanted) | Q(lower_name__in=wanted)).order_by("pk"):
            forms = {person.name.lower(), name_and_firm(person.name, person.firm).lower()}
            for form in forms | ({person.username.lower()} if person.username else set()):
                self._found[form].append(person)

    @property
    def all(self) -> Sequence[Person]:
        """Everybody found, some perhaps more than once."""
        return [person for people in self._found.values() for person in people]

    def one(self, name: str) -> Person | None:
        """Return the one person so called; whoever signs in with the name goes before all who only bear it."""
        found = self._found.get(name.lower(), [])
        signing_in = [person for person in found if person.username and person.username.lower() == name.lower()]
        if signing_in:
            return signing_in[0]
        return found[0] if len(found) == 1 else None

    def are_several(self, name: str) -> bool:
        """Whether the name could mean more than one person."""
        return len(self._found.get(name.lower(), ())) > 1


def person_state(person: Person) -> PersonState:
    """Return `here` or `left`."""
    return PersonState.HERE if person.left_on is None else PersonState.LEFT
