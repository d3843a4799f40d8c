"""People, their roles, qualifications and devices, as taken and as given. A password is never given."""

from typing import Any

from django.conf import settings
from rest_framework import serializers

from common.api.fields import TextField, UuidField
from common.api.serializers import StrictSerializer
from common.choices import choices
from fleet.api.serializers.names import PersonName, SiteCode
from fleet.enums import Role, Scope
from fleet.models import Person
from fleet.services.people.sign_in import SignedIn
from fleet.states import person_state
from fleet.transitions import PERSON

LONGEST_PASSWORD = 256


class SignInBody(StrictSerializer):
    """Who signs in, and on what device; the device's name is for the person to know it again."""

    username = TextField(max_length=64)
    password = TextField(max_length=LONGEST_PASSWORD, trim_whitespace=False)
    device = TextField(max_length=80)


class PersonBody(StrictSerializer):
    """A person; `home_site` is a site's code. A `username` makes one who may sign in."""

    name = TextField(max_length=120)
    username = TextField(max_length=64, required=False, allow_null=True)
    title = TextField(max_length=120, required=False, allow_blank=True)
    firm = TextField(max_length=120, required=False, allow_blank=True)
    email = serializers.EmailField(max_length=254, required=False, allow_blank=True)
    phone = TextField(max_length=32, required=False, allow_blank=True)
    language = serializers.ChoiceField(settings.LANGUAGES, required=False)
    home_site = TextField(max_length=24, required=False, allow_null=True)


class NewPersonBody(PersonBody):
    """A person with a first password."""

    password = TextField(max_length=LONGEST_PASSWORD, trim_whitespace=False, required=False)


class PasswordBody(StrictSerializer):
    """A new password."""

    password = TextField(max_length=LONGEST_PASSWORD, trim_whitespace=False)


class OwnPasswordBody(PasswordBody):
    """A new password of one's own, with the present one."""

    current_password = TextField(max_length=LONGEST_PASSWORD, trim_whitespace=False)


class LeaveBody(StrictSerializer):
    """The last day."""

    left_on = serializers.DateField()


class RoleBody(StrictSerializer):
    """A role from a day to a day, last day included, at one site (its code) or everywhere."""

    role = serializers.ChoiceField(choices(Role))
    site = TextField(max_length=24, required=False, allow_null=True)
    starts_on = serializers.DateField()
    ends_on = serializers.DateField(required=False, allow_null=True)


class LastDayBody(StrictSerializer):
    """The last day on which it holds."""

    ends_on = serializers.DateField()


class QualificationBody(StrictSerializer):
    """Evidence that a person may do a scope of work."""

    person = UuidField()
    scope = serializers.ChoiceField(choices(Scope))
    evidence = TextField(max_length=2000, multiline=True)
    starts_on = serializers.DateField()
    ends_on = serializers.DateField(required=False, allow_null=True)


class RoleOut(serializers.Serializer[Any]):
    """A role held from a day to a day, given and ended by whom; empty where that was not kept yet."""

    id = serializers.UUIDField()
    role = serializers.ChoiceField(choices(Role))
    site = SiteCode(allow_null=True)
    starts_on = serializers.DateField()
    ends_on = serializers.DateField(allow_null=True)
    granted_by = PersonName(allow_null=True)
    granted_at = serializers.DateTimeField(allow_null=True)
    ended_by = PersonName(allow_null=True)
    ended_at = serializers.DateTimeField(allow_null=True)
    console_reason = serializers.CharField(
        help_text="Why it was given at the server's console, where nobody second was asked; empty for others."
    )


class PersonOut(serializers.Serializer[Any]):
    """A person with every role, past ones among them."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    username = serializers.CharField(allow_null=True)
    title = serializers.CharField()
    firm = serializers.CharField()
    email = serializers.CharField()
    phone = serializers.CharField()
    language = serializers.CharField()
    home_site = SiteCode(allow_null=True)
    left_on = serializers.DateField(allow_null=True)
    roles = RoleOut(many=True)
    version = serializers.IntegerField()
    allowed_actions = serializers.SerializerMethodField()

    def get_allowed_actions(self, person: Person) -> list[str]:
        """Return what the caller may do with the person's entry now."""
        return PERSON.allowed_actions(person_state(person), self.context["roles"])


class QualificationOut(serializers.Serializer[Any]):
    """A qualification with its evidence."""

    id = serializers.UUIDField()
    person = PersonName()
    scope = serializers.ChoiceField(choices(Scope))
    evidence = serializers.CharField()
    starts_on = serializers.DateField()
    ends_on = serializers.DateField(allow_null=True)
    recorded_at = serializers.DateTimeField()


class TokenOut(serializers.Serializer[Any]):
    """A device that is signed in."""

    id = serializers.UUIDField()
    person = PersonName()
    device = serializers.CharField()
    created_at = serializers.DateTimeField()
    expires_at = serializers.DateTimeField(help_text="Moves on with use, up to `ends_at`.")
    ends_at = serializers.DateTimeField()


class NewTokenOut(TokenOut):
    """A device that has just signed in; the token is told this once."""

    token = serializers.CharField()
    set_password_first = serializers.BooleanField(
        help_text="Somebody else set the password: until it is changed at `/me/set-password`, nothing else is answered."
    )
    signed_out = serializers.ListField(
        child=serializers.CharField(), help_text="Devices that this signed out, because there were too many."
    )

    def to_representation(self, made: SignedIn) -> dict[str, Any]:
        """Return the row's columns with what is told this once."""
        return {
            **TokenOut(made.row).data,
            "token": made.token,
            "set_password_first": made.row.person.sign_in_given,
            "signed_out": [each.device for each in made.signed_out],
        }


class MeOut(serializers.Serializer[Any]):
    """Who is signed in, as what, on which devices."""

    person = PersonOut()
    current_roles = serializers.ListField(child=serializers.ChoiceField(choices(Role)))
    devices = TokenOut(many=True)
