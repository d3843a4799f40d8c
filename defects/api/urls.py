"""The addresses of what drivers find and what bars a unit."""

from django.urls import path
from django.urls.resolvers import URLPattern

from defects.api.clearances.views import ClearanceViewSet, YardViewSet
from defects.api.defects.actions import (
    CertifyView,
    EnteredInErrorView,
    GradeView,
    RegradeView,
    ReopenView,
    SupersedeView,
)
from defects.api.defects.views import DefectViewSet
from defects.api.driver_reviews.views import DriverReviewsView, DriverReviewView, OwedReviewView
from defects.api.holds.actions import LiftView
from defects.api.holds.views import HoldViewSet
from defects.api.moves.views import EndLimitedMoveView, LimitedMoveViewSet, YardMoveViewSet
from defects.api.photos.views import DefectPhotoView, WalkaroundPhotoView
from defects.api.points.views import PointsView
from defects.api.refusals.views import RefusalViewSet, SecondLookView
from defects.api.reports.views import ReportViewSet
from defects.api.walk.views import WalkView
from defects.api.walkarounds.views import WalkaroundView

urlpatterns: list[URLPattern] = [
    path("points", PointsView.as_view(), name="points"),
    path("walk", WalkView.as_view(), name="walk"),
    path("walkarounds/<uuid:key>", WalkaroundView.as_view(), name="walkaround"),
    path("walkarounds/<uuid:key>/photos/<str:sha256>", WalkaroundPhotoView.as_view(), name="walkaround-photo"),
    path("reports", ReportViewSet.as_view({"get": "list"}), name="reports"),
    path("reports/<uuid:key>", ReportViewSet.as_view({"get": "retrieve"}), name="report"),
    path("defects", DefectViewSet.as_view({"get": "list"}), name="defects"),
    path("defects/<str:ref>", DefectViewSet.as_view({"get": "retrieve"}), name="defect"),
    path("clearances", ClearanceViewSet.as_view({"get": "list", "post": "create"}), name="clearances"),
    path("clearances/<uuid:pk>", ClearanceViewSet.as_view({"get": "retrieve"}), name="clearance"),
    path("yard", YardViewSet.as_view({"get": "list"}), name="yard"),
    path("defects/<str:ref>/photos/<str:sha256>", DefectPhotoView.as_view(), name="defect-photo"),
    path("defects/<str:ref>/certify", CertifyView.as_view(), name="defect-certify"),
    path("defects/<str:ref>/supersede", SupersedeView.as_view(), name="defect-supersede"),
    path("defects/<str:ref>/grade", GradeView.as_view(), name="defect-grade"),
    path("defects/<str:ref>/regrade", RegradeView.as_view(), name="defect-regrade"),
    path("defects/<str:ref>/reopen", ReopenView.as_view(), name="defect-reopen"),
    path("defects/<str:ref>/entered-in-error", EnteredInErrorView.as_view(), name="defect-entered-in-error"),
    path("holds", HoldViewSet.as_view({"get": "list", "post": "create"}), name="holds"),
    path("holds/<str:ref>", HoldViewSet.as_view({"get": "retrieve"}), name="hold"),
    path("holds/<str:ref>/lift", LiftView.as_view(), name="hold-lift"),
    path("driver-reviews", DriverReviewsView.as_view(), name="driver-reviews"),
    path("driver-reviews/owed", OwedReviewView.as_view(), name="driver-reviews-owed"),
    path("driver-reviews/<uuid:key>", DriverReviewView.as_view(), name="driver-review"),
    path("refusals", RefusalViewSet.as_view({"get": "list", "post": "create"}), name="refusals"),
    path("refusals/<uuid:key>", RefusalViewSet.as_view({"get": "retrieve"}), name="refusal"),
    path("refusals/<uuid:key>/second-look", SecondLookView.as_view(), name="refusal-second-look"),
    path("yard-moves", YardMoveViewSet.as_view({"get": "list", "post": "create"}), name="yard-moves"),
    path("limited-moves", LimitedMoveViewSet.as_view({"get": "list", "post": "create"}), name="limited-moves"),
    path("limited-moves/<uuid:key>/end", EndLimitedMoveView.as_view(), name="limited-move-end"),
]
