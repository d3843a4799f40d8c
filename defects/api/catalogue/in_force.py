"""The catalogue by which a request's answers are worded: the one in force, read once."""

from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.catalogue.catalogue import catalogue_in_force
from fleet.api.requests.authentication import ServiceRequest
from fleet.selectors.carrier.carrier import effective_policies


def catalogue_for(request: ServiceRequest) -> Catalogue:
    """The catalogue in force at the request's instant, in one statement."""
    return catalogue_in_force(effective_policies(now=request.now).policies)
