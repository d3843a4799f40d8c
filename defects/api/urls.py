"""The addresses of what drivers find and what bars a unit."""

from django.urls import path
from django.urls.resolvers import URLPattern

from defects.api.clearances.views import ClearanceViewSet, YardViewSet
from defects.api.defects.views import DefectViewSet
from defects.api.holds.views import HoldViewSet
from defects.api.points.views import PointsView
from defects.api.reports.views import ReportViewSet
from defects.api.walk.views import WalkView
from defects.api.walkarounds.views import WalkaroundView

urlpatterns: list[URLPattern] = [
    path("points", PointsView.as_view(), name="points"),
    path("walk", WalkView.as_view(), name="walk"),
    path("walkarounds/<uuid:key>", WalkaroundView.as_view(), name="walkaround"),
    path("reports", ReportViewSet.as_view({"get": "list"}), name="reports"),
    path("reports/<uuid:key>", ReportViewSet.as_view({"get": "retrieve"}), name="report"),
    path("defects", DefectViewSet.as_view({"get": "list"}), name="defects"),
    path("defects/<str:ref>", DefectViewSet.as_view({"get": "retrieve"}), name="defect"),
    path("clearances", ClearanceViewSet.as_view({"get": "list", "post": "create"}), name="clearances"),
    path("clearances/<uuid:pk>", ClearanceViewSet.as_view({"get": "retrieve"}), name="clearance"),
    path("yard", YardViewSet.as_view({"get": "list"}), name="yard"),
    path("holds", HoldViewSet.as_view({"get": "list"}), name="holds"),
    path("holds/<str:ref>", HoldViewSet.as_view({"get": "retrieve"}), name="hold"),
]
