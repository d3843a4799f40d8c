"""The addresses of what drivers find and what bars a unit."""

from django.urls import path
from django.urls.resolvers import URLPattern

from defects.api.catalogue.views import PointsView
from defects.api.clearance.views import ClearanceViewSet, YardViewSet
from defects.api.defects.views import MOVES as DEFECT_MOVES
from defects.api.defects.views import DefectViewSet
from defects.api.holds.views import HoldViewSet
from defects.api.loads.at_risk import LoadAtRiskViewSet
from defects.api.loads.views import MOVES as LOAD_MOVES
from defects.api.loads.views import LoadViewSet
from defects.api.moves.limited import LimitedMoveViewSet
from defects.api.moves.yard import YardMoveViewSet
from defects.api.refusals.views import RefusalViewSet, SecondLookViewSet
from defects.api.reviews.views import DriverReviewsView, DriverReviewView, DueReviewView
from defects.api.roadside.views import RoadsideViewSet
from defects.api.signing_links.views import (
    FirmConfirmationViewSet,
    LinkedLookView,
    LinkPhotoView,
    OpenedLinkView,
    SigningLinkViewSet,
)
from defects.api.tires.wear import TiresView
from defects.api.walkarounds.photos import DefectPhotoView, WalkaroundPhotoView
from defects.api.walkarounds.reports import ReportViewSet
from defects.api.walkarounds.views import WalkaroundView
from defects.api.walkarounds.walk_view import WalkView
from defects.api.weights.photos import TicketPhotoView

urlpatterns: list[URLPattern] = [
    path("points", PointsView.as_view(), name="points"),
    path("walk", WalkView.as_view(), name="walk"),
    path("walkarounds/<key:key>", WalkaroundView.as_view(), name="walkaround"),
    path("walkarounds/<key:key>/photos/<str:sha256>", WalkaroundPhotoView.as_view(), name="walkaround-photo"),
    path("reports", ReportViewSet.as_view({"get": "list"}), name="reports"),
    path("reports/<key:key>/assign-unit", ReportViewSet.as_view({"post": "assign_unit"}), name="report-assign-unit"),
    path("reports/<key:key>", ReportViewSet.as_view({"get": "retrieve"}), name="report"),
    path("reports/<key:key>/set-aside", ReportViewSet.as_view({"post": "set_aside"}), name="report-set-aside"),
    path("defects", DefectViewSet.as_view({"get": "list"}), name="defects"),
    path("defects/<str:ref>", DefectViewSet.as_view({"get": "retrieve"}), name="defect"),
    path("clearances", ClearanceViewSet.as_view({"get": "list", "post": "create"}), name="clearances"),
    path("clearances/<key:key>", ClearanceViewSet.as_view({"get": "retrieve"}), name="clearance"),
    path("yard", YardViewSet.as_view({"get": "list"}), name="yard"),
    path("defects/<str:ref>/photos/<str:sha256>", DefectPhotoView.as_view(), name="defect-photo"),
    *(
        path(
            f"defects/<str:ref>/{move.replace('_', '-')}", DefectViewSet.as_view({"post": move}), name=f"defect-{move}"
        )
        for move in DEFECT_MOVES
    ),
    path(
        "defects/<str:ref>/repeated-tests", DefectViewSet.as_view({"post": "repeat_test"}), name="defect-repeated-tests"
    ),
    path("signing-links", SigningLinkViewSet.as_view({"get": "list", "post": "create"}), name="signing-links"),
    path("signing-links/<key:key>", SigningLinkViewSet.as_view({"delete": "destroy"}), name="signing-link"),
    path("signing-link", OpenedLinkView.as_view(), name="signing-link-opened"),
    path("signing-link/second-look", LinkedLookView.as_view(), name="signing-link-look"),
    path("signing-link/photos/<str:sha256>", LinkPhotoView.as_view(), name="signing-link-photo"),
    path(
        "firm-confirmations",
        FirmConfirmationViewSet.as_view({"get": "list", "post": "create"}),
        name="firm-confirmations",
    ),
    path("holds", HoldViewSet.as_view({"get": "list", "post": "create"}), name="holds"),
    path("holds/<str:ref>", HoldViewSet.as_view({"get": "retrieve"}), name="hold"),
    path("holds/<str:ref>/lift", HoldViewSet.as_view({"post": "lift"}), name="hold-lift"),
    path("driver-reviews", DriverReviewsView.as_view(), name="driver-reviews"),
    path("driver-reviews/pending", DueReviewView.as_view(), name="driver-reviews-pending"),
    path("driver-reviews/<key:key>", DriverReviewView.as_view(), name="driver-review"),
    path("refusals", RefusalViewSet.as_view({"get": "list", "post": "create"}), name="refusals"),
    path("refusals/<key:key>", RefusalViewSet.as_view({"get": "retrieve"}), name="refusal"),
    path(
        "refusals/<key:key>/second-look", SecondLookViewSet.as_view({"post": "second_look"}), name="refusal-second-look"
    ),
    path("yard-moves", YardMoveViewSet.as_view({"get": "list", "post": "create"}), name="yard-moves"),
    path("limited-moves", LimitedMoveViewSet.as_view({"get": "list", "post": "create"}), name="limited-moves"),
    path("limited-moves/<key:key>/end", LimitedMoveViewSet.as_view({"post": "end"}), name="limited-move-end"),
    path("loads", LoadViewSet.as_view({"get": "list", "post": "create"}), name="loads"),
    path("loads/<str:ref>", LoadViewSet.as_view({"get": "retrieve", "patch": "partial_update"}), name="load"),
    *(
        path(f"loads/<str:ref>/{move.replace('_', '-')}", LoadViewSet.as_view({"post": move}), name=f"load-{move}")
        for move in LOAD_MOVES
    ),
    path("loads/<str:ref>/photos/<str:sha256>", TicketPhotoView.as_view(), name="load-photo"),
    path("units/<unit:ref>/tires", TiresView.as_view(), name="unit-tires"),
    path("loads-at-risk", LoadAtRiskViewSet.as_view({"get": "list"}), name="loads-at-risk"),
    path("loads-at-risk/<key:key>", LoadAtRiskViewSet.as_view({"get": "retrieve"}), name="load-at-risk"),
    path("loads-at-risk/<key:key>/entries", LoadAtRiskViewSet.as_view({"post": "enter"}), name="load-at-risk-enter"),
    path(
        "loads-at-risk/<key:key>/dispose", LoadAtRiskViewSet.as_view({"post": "dispose"}), name="load-at-risk-dispose"
    ),
    path(
        "roadside-inspections", RoadsideViewSet.as_view({"get": "list", "post": "create"}), name="roadside-inspections"
    ),
    path("roadside-inspections/<key:key>", RoadsideViewSet.as_view({"get": "retrieve"}), name="roadside-inspection"),
    path("roadside-inspections/<key:key>/answer", RoadsideViewSet.as_view({"post": "answer"}), name="roadside-answer"),
]
