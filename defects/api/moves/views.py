"""Recording yard moves; allowing, ending and reading limited moves."""

from http import HTTPStatus
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from defects.api.moves.filters import LimitedMoveFilters, YardMoveFilters
from defects.api.moves.serializers import EndBody, LimitedMoveBody, LimitedMoveOut, YardMoveBody, YardMoveOut
from defects.api.moves.words import limited_move_body, yard_move_body
from defects.api.readers import READERS
from defects.models import LimitedMove, YardMove
from defects.selectors.moves import limited_move_rows, yard_move_rows
from defects.services.moves import LimitedMoveAsked, allow_limited_move, end_limited_move, record_yard_move
from defects.transitions import ALLOW_LIMITED_MOVE, LIMITED_MOVES, MOVE_IN_YARD
from fleet.api.base import ServiceView, ServiceViewSet
from fleet.api.names import person_in_body, site_in_body, unit_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.models import Site


class YardMoveViewSet(ServiceViewSet):
    """Moves on private ground to the bay."""

    roles = {"list": READERS, "create": MOVE_IN_YARD}
    queryset = YardMove.objects.none()
    filterset_class = YardMoveFilters
    serializer_class = YardMoveOut
    ordering = ("-moved_at",)

    @extend_schema(operation_id="yard_moves_list", summary="Yard moves, newest first", responses=YardMoveOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """One page of the moves asked for."""
        page = self.paginate_queryset(self.filter_queryset(yard_move_rows())) or []
        return self.paged(page, yard_move_body)

    @extend_schema(
        operation_id="yard_moves_record",
        summary="Record a move on private ground to the bay",
        request=YardMoveBody,
        responses={201: YardMoveOut},
    )
    def create(self, request: ServiceRequest) -> Response:
        """The recorded move; it lifts nothing, and an officer's order forbids it."""
        given = dict(parsed(YardMoveBody, request).validated_data)
        site: Site | None = site_in_body(given.pop("site"), "/site")
        if site is None:
            msg = "the body names a site"
            raise TypeError(msg)
        unit = unit_in_body(given.pop("unit"), "/unit")
        move = record_yard_move(unit_id=unit.pk, site=site, **given, actor=request.person, now=request.now)
        return Response(yard_move_body(yard_move_rows().get(pk=move.pk)), status=HTTPStatus.CREATED)


class LimitedMoveViewSet(ServiceViewSet):
    """Limited moves of units found unsafe on the highway (396.7(b))."""

    roles = {"list": READERS, "create": ALLOW_LIMITED_MOVE}
    queryset = LimitedMove.objects.none()
    filterset_class = LimitedMoveFilters
    serializer_class = LimitedMoveOut
    ordering = ("-approved_at",)

    @extend_schema(
        operation_id="limited_moves_list", summary="Limited moves, newest first", responses=LimitedMoveOut(many=True)
    )
    def list(self, request: ServiceRequest) -> Response:
        """One page of the moves asked for."""
        page = self.paginate_queryset(self.filter_queryset(limited_move_rows())) or []
        return self.paged(page, lambda move: limited_move_body(move, request.person))

    @extend_schema(
        operation_id="limited_moves_allow",
        summary="Allow one trip to the nearest safe repair place",
        request=LimitedMoveBody,
        responses={201: LimitedMoveOut},
    )
    def create(self, request: ServiceRequest) -> Response:
        """The allowed move; never under an officer's order, never without the driver's consent."""
        given = dict(parsed(LimitedMoveBody, request).validated_data)
        unit = unit_in_body(given.pop("unit"), "/unit")
        driver = person_in_body(given.pop("driver"), "/driver")
        move = allow_limited_move(
            unit_id=unit.pk, asked=LimitedMoveAsked(**given, driver=driver), actor=request.person, now=request.now
        )
        return _answer(move.pk, request, HTTPStatus.CREATED)


class EndLimitedMoveView(ServiceView):
    """The end of a limited move."""

    roles = {"post": LIMITED_MOVES.roles_for("end")}
    tag = "limited-moves"

    @extend_schema(
        operation_id="limited_moves_end", summary="End a limited move", request=EndBody, responses=LimitedMoveOut
    )
    def post(self, request: ServiceRequest, key: UUID) -> Response:
        """The move, ended by its driver or by a foreman."""
        body = parsed(EndBody, request)
        move = end_limited_move(
            move_id=key,
            ended_at=body.validated_data["ended_at"],
            note=body.validated_data.get("note", ""),
            actor=request.person,
            now=request.now,
        )
        return _answer(move.pk, request)


def _answer(key: UUID, request: ServiceRequest, status: int = HTTPStatus.OK) -> Response:
    return Response(limited_move_body(limited_move_rows().get(pk=key), request.person), status=status)
