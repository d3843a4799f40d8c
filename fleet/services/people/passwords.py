"""Setting a password on a person's row, which the caller saves. Who may do so is said where it is called."""

from django.contrib.auth.hashers import check_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from common.errors import FieldProblem, Invalid
from fleet.models import Person

COLUMNS = ("password", "sign_in_given")
"""What is set."""


def use_password(person: Person, password: str | None, *, given: bool = False) -> None:
    """Set the hash of a password, None for a person who cannot sign in; `given` when it is not the person's own choice.

    Invalid `password_refused` at `/password`, also for the password that the person has.
    """
    person.sign_in_given = given and password is not None
    if password is None:
        person.set_unusable_password()
        return
    try:
        validate_password(password, person)
    except ValidationError as error:
        problems = [FieldProblem("/password", str(one.code)) for one in error.error_list]
        raise Invalid("password_refused", problems=problems) from error
    if check_password(password, person.password):
        raise Invalid("password_refused", problems=[FieldProblem("/password", "password_unchanged")])
    person.set_password(password)


class FewCharactersValidator:
    """Refuses a password made of few different characters, however long it is."""

    def __init__(self, at_least: int = 5) -> None:
        self.at_least = at_least

    def validate(self, password: str, _user: object = None) -> None:
        """ValidationError `password_few_characters`."""
        if len(set(password.lower())) < self.at_least:
            raise ValidationError(self.get_help_text(), code="password_few_characters")

    def get_help_text(self) -> str:
        """What Django tells whoever asks for its rules."""
        return f"A password has at least {self.at_least} different characters."
