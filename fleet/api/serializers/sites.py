"""Sites, the carrier and its decisions, as taken and as given."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from common.api.fields import FlagField, InstantField, TextField, WholeField
from common.api.serializers import StrictSerializer
from fleet.api.serializers.names import PersonName
from fleet.models import Site
from fleet.rules.carrier.policies import POLICIES
from fleet.states import site_state
from fleet.transitions import SITE

MOST_BAYS = 500
ANY_VALUE = f"What each key takes, see `fleet.rules.carrier.policies`: {', '.join(POLICIES)}."
"""Why a decision's value has no listed form."""


class SiteBody(StrictSerializer):
    """A yard, dock or shop; `bays` are its repair places, 0 where there is no shop."""

    code = TextField(max_length=24)
    name = TextField(max_length=120)
    address = TextField(max_length=1000, multiline=True, required=False, allow_blank=True)
    time_zone = TextField(max_length=64)
    bays = WholeField(max_value=MOST_BAYS, required=False)
    has_signal = FlagField(required=False)


class CloseBody(StrictSerializer):
    """The last day of a site."""

    closed_on = serializers.DateField()


class CarrierBody(StrictSerializer):
    """The carrier."""

    name = TextField(max_length=120)
    usdot_number = TextField(max_length=12)
    address = TextField(max_length=1000, multiline=True, allow_blank=True)
    time_zone = TextField(max_length=64)


@extend_schema_field({"description": ANY_VALUE})
class DecisionField(serializers.JSONField):
    """The value of a decision, in the form that its key asks for."""


class PolicyBody(StrictSerializer):
    """A decision, from an instant on; at once when none is given."""

    key = TextField(max_length=64)
    value = DecisionField()
    valid_from = InstantField(required=False, allow_null=True)
    reason = TextField(max_length=2000, multiline=True, required=False, allow_blank=True)


class SiteOut(serializers.Serializer[Any]):
    """A site."""

    id = serializers.UUIDField()
    code = serializers.CharField()
    name = serializers.CharField()
    address = serializers.CharField()
    time_zone = serializers.CharField()
    bays = serializers.IntegerField()
    has_signal = serializers.BooleanField()
    closed_on = serializers.DateField(allow_null=True)
    version = serializers.IntegerField()
    allowed_actions = serializers.SerializerMethodField()

    def get_allowed_actions(self, site: Site) -> list[str]:
        """Return what the caller may do with the site now."""
        return SITE.allowed_actions(site_state(site), self.context["roles"])


class CarrierOut(serializers.Serializer[Any]):
    """The carrier."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    usdot_number = serializers.CharField()
    address = serializers.CharField()
    time_zone = serializers.CharField()
    version = serializers.IntegerField()


class PolicyOut(serializers.Serializer[Any]):
    """A decision that was taken; the newest one of its key whose time has come is in force."""

    id = serializers.UUIDField()
    key = serializers.CharField()
    value = DecisionField()
    valid_from = serializers.DateTimeField()
    reason = serializers.CharField()
    set_by = PersonName()
    recorded_at = serializers.DateTimeField()
    from_console = serializers.BooleanField(help_text="Set at the server's console, where nobody second was asked.")
