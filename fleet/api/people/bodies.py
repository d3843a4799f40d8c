"""Bodies about people, their roles and qualifications, and of signing in. A password is never given back."""

from typing import Annotated, Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from pydantic.json_schema import JsonSchemaValue

from common.api.bodies import ABSENT, Body
from common.api.values import Choice, Day, ReadValue, Text, Uuid, refused
from fleet.enums import Role, Scope

Password = Annotated[str, Text(256, trimmed=False)]
Line = Annotated[str, Text(120, may_be_blank=True)]
SiteRef = Annotated[str, Text(24)]


class MailAddress(ReadValue):
    """A mail address, or none as the empty text; `not_an_address` and those of a text."""

    text = Text(254, may_be_blank=True)

    def read(self, sent: Any) -> str:
        address = self.text.read(sent)
        try:
            if address:
                validate_email(address)
        except ValidationError as error:
            raise refused("not_an_address") from error
        return address

    def described(self) -> JsonSchemaValue:
        return self.text.described()


class SignInBody(Body):
    """Who signs in, and on what device; the device's name is for the person to know it again."""

    username: Annotated[str, Text(64)]
    password: Password
    device: Annotated[str, Text(80)]


class PersonBody(Body):
    """A person; `home_site` is a site's code. A `username` makes one who may sign in."""

    name: Annotated[str, Text(120)]
    username: Annotated[str, Text(64)] | None = None
    title: Line = ""
    firm: Line = ""
    email: Annotated[str, MailAddress()] = ""
    phone: Annotated[str, Text(32, may_be_blank=True)] = ""
    language: Annotated[str, Choice(code for code, _ in settings.LANGUAGES)] = ABSENT
    home_site: SiteRef | None = None


class PersonChange(PersonBody, partial=True):
    """What changes of a person."""


class NewPersonBody(PersonBody):
    """A person with a first password."""

    password: Password = ABSENT


class PasswordBody(Body):
    """A new password."""

    password: Password


class OwnPasswordBody(PasswordBody):
    """A new password of one's own, with the present one."""

    current_password: Password


class LeaveBody(Body):
    """The last day."""

    left_on: Day


class RoleBody(Body):
    """A role from a day to a day, last day included, at one site (its code) or everywhere."""

    role: Role
    site: SiteRef | None = None
    starts_on: Day
    ends_on: Day | None = None


class LastDayBody(Body):
    """The last day on which it holds."""

    ends_on: Day


class QualificationBody(Body):
    """Evidence that a person may do a scope of work."""

    person: Uuid
    scope: Scope
    evidence: Annotated[str, Text(2000, multiline=True)]
    starts_on: Day
    ends_on: Day | None = None
