"""Sites, the carrier, and what it decides."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version, set_etag
from common.api.permissions import ANY_ROLE
from fleet.api.base import ServiceView, ServiceViewSet
from fleet.api.filters import PolicyFilter, SiteFilter
from fleet.api.names import site_in_path
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import ADMINISTRATOR, OFFICE
from fleet.api.serializers.sites import CarrierBody, CarrierOut, CloseBody, PolicyBody, PolicyOut, SiteBody, SiteOut
from fleet.models import Carrier, Policy, Site
from fleet.selectors.carrier.carrier import carriers_day, the_carrier
from fleet.services.carrier.policies import set_policy
from fleet.services.carrier.sites import close_site, create_site, edit_carrier, edit_site
from fleet.transitions import SITE, roles_for


class SiteViewSet(ServiceViewSet):
    """Yards, docks and shops of the carrier, named by their codes."""

    roles = {
        "list": ANY_ROLE,
        "retrieve": ANY_ROLE,
        "create": ADMINISTRATOR,
        "partial_update": roles_for(SITE, "edit"),
        "close": roles_for(SITE, "close"),
    }
    if_match = frozenset({"partial_update", "close"})
    filterset_class = SiteFilter
    ordering = ("code",)
    output = SiteOut
    queryset = Site.objects.all()

    @extend_schema(responses=SiteOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Sites by code."""
        return self.listed()

    @extend_schema(responses=SiteOut)
    def retrieve(self, request: ServiceRequest, code: str) -> Response:
        """One site."""
        return self.shown(site_in_path(code))

    @extend_schema(request=SiteBody, responses={201: SiteOut})
    def create(self, request: ServiceRequest) -> Response:
        """Add a site."""
        site = create_site(facts=parsed(SiteBody, request).validated_data, actor=request.person)
        return self.created(site, f"{request.path}/{site.code}")

    @extend_schema(request=SiteBody, responses=SiteOut)
    def partial_update(self, request: ServiceRequest, code: str) -> Response:
        """Change what is given."""
        changes = parsed(SiteBody, request, partial=True).validated_data
        version = expected_version(request)
        return self.shown(
            edit_site(site_id=site_in_path(code).pk, version=version, changes=changes, actor=request.person)
        )

    @extend_schema(request=CloseBody, responses=SiteOut)
    def close(self, request: ServiceRequest, code: str) -> Response:
        """Close a site for good; what happened there stays."""
        closed_on = parsed(CloseBody, request).validated_data["closed_on"]
        site = close_site(
            site_id=site_in_path(code).pk,
            version=expected_version(request),
            closed_on=closed_on,
            today=carriers_day(request.now),
            actor=request.person,
        )
        return self.shown(site)


class CarrierView(ServiceView):
    """The one carrier of this installation."""

    roles = {"get": ANY_ROLE, "patch": ADMINISTRATOR}
    if_match = frozenset({"patch"})

    @extend_schema(responses=CarrierOut)
    def get(self, request: ServiceRequest) -> Response:
        """Who the carrier is, and in which zone its days end."""
        return _shown(the_carrier())

    @extend_schema(request=CarrierBody, responses=CarrierOut)
    def patch(self, request: ServiceRequest) -> Response:
        """Change what is given."""
        changes = parsed(CarrierBody, request, partial=True).validated_data
        return _shown(edit_carrier(version=expected_version(request), changes=changes, actor=request.person))


class PolicyViewSet(ServiceViewSet):
    """What the carrier has decided, and from when on; never edited, only followed by the next decision."""

    roles = {"list": ANY_ROLE, "create": OFFICE}
    filterset_class = PolicyFilter
    ordering = ("-valid_from",)
    output = PolicyOut

    def get_queryset(self) -> QuerySet[Policy]:
        """Return all decisions."""
        return Policy.objects.select_related("set_by")

    @extend_schema(responses=PolicyOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Decisions, newest first, past and coming ones among them."""
        return self.listed()

    @extend_schema(request=PolicyBody, responses={201: PolicyOut})
    def create(self, request: ServiceRequest) -> Response:
        """Decide something from now on, or from an instant to come."""
        body: dict[str, Any] = {"valid_from": None, "reason": "", **parsed(PolicyBody, request).validated_data}
        return self.shown(set_policy(actor=request.person, now=request.now, **body), 201)


def _shown(carrier: Carrier) -> Response:
    response = Response(CarrierOut(carrier).data)
    set_etag(response, carrier)
    return response
