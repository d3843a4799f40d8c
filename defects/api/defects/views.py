"""Reading defects: lists and one defect's page. What may be done with one stands in `actions`."""

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.versions import etag
from defects.api.catalogues import catalogue_for
from defects.api.defects.filters import DefectFilters
from defects.api.defects.serializers import DefectOut, DefectPageOut
from defects.api.defects.words import defect_body, page_body
from defects.api.readers import READERS
from defects.models import Defect
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.defects import defect_for_page, defect_page, defect_rows
from fleet.api.base import ServiceViewSet
from fleet.api.requests import ServiceRequest
from fleet.models import Person


class DefectViewSet(ServiceViewSet):
    """Defects, newest first, and one defect by its number or key."""

    roles = {"list": READERS, "retrieve": READERS}
    queryset = Defect.objects.none()
    filterset_class = DefectFilters
    serializer_class = DefectOut
    ordering = ("-found_at",)

    @extend_schema(operation_id="defects_list", summary="Defects, newest first", responses=DefectOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """One page of the defects asked for, each in one line of the person's language."""
        page = self.paginate_queryset(self.filter_queryset(defect_rows())) or []
        catalogue = catalogue_for(request)
        return self.paged(page, lambda defect: defect_body(defect, catalogue, request.person.language))

    @extend_schema(operation_id="defects_read", summary="One defect with its story", responses=DefectPageOut)
    def retrieve(self, request: ServiceRequest, ref: str) -> Response:
        """The defect with its sightings, certificates, holds, order, photos, comebacks and what you may do."""
        return defect_answer(defect_for_page(ref), catalogue_for(request), request.person)


def defect_answer(defect: Defect, catalogue: Catalogue, person: Person, status: int = 200) -> Response:
    """One defect's page, with the ETag that its moves ask for."""
    answer = Response(page_body(defect_page(defect), catalogue, person), status=status)
    answer.headers["ETag"] = etag(defect.version)
    return answer
