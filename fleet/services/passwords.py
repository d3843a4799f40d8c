"""Setting a password on a person's row, which the caller saves. Who may do so is said where it is called."""

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from common.errors import FieldProblem, Invalid
from fleet.models import Person


def use_password(person: Person, password: str | None) -> None:
    """Set the hash of a password, None for a person who cannot sign in. Invalid `password_refused` at `/password`."""
    if password is None:
        person.set_unusable_password()
        return
    try:
        validate_password(password, person)
    except ValidationError as error:
        problems = [FieldProblem("/password", str(one.code)) for one in error.error_list]
        raise Invalid("password_refused", problems=problems) from error
    person.set_password(password)
