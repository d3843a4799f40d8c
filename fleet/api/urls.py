"""The addresses of what the carrier owns, below the version's prefix."""

from typing import Any

from django.urls import path, register_converter
from django.urls.converters import UUIDConverter
from django.urls.resolvers import URLPattern

from fleet.api.carrier.carrier import CarrierView
from fleet.api.carrier.on_call import OnCallViewSet
from fleet.api.carrier.policies import PolicyViewSet
from fleet.api.carrier.sites import SiteViewSet
from fleet.api.cooling.views import CoolingForecastView, CoolingReadingViewSet
from fleet.api.documents.documents import DocumentViewSet
from fleet.api.documents.expiries import ExpiryViewSet
from fleet.api.documents.feeds import ExpiryFeedView, ExpiryFeedViewSet
from fleet.api.documents.files import DocumentFileView
from fleet.api.imports.urls import table_urlpatterns
from fleet.api.notifications.notifications import NotificationViewSet
from fleet.api.notifications.parked_deliveries import ParkedDeliveryViewSet
from fleet.api.notifications.webhooks import WebhookViewSet
from fleet.api.people.people import PersonViewSet
from fleet.api.people.qualifications import QualificationViewSet
from fleet.api.people.roles import PersonRoleViewSet
from fleet.api.people.sign_in import MeView, OwnPasswordView, TokenViewSet
from fleet.api.records.deletions import DeletionViewSet
from fleet.api.records.history import HistoryViewSet
from fleet.api.records.legal_holds import LegalHoldViewSet
from fleet.api.records.rehearsals import RehearsalView
from fleet.api.records.unit_file import UnitFileView
from fleet.api.requests.references import UnitReferenceConverter
from fleet.api.units.couplings import CouplingViewSet
from fleet.api.units.kinds import CoolingUnitViewSet, OneKindViewSet, TractorViewSet, TrailerViewSet
from fleet.api.units.meters import MeterReadingViewSet, MeterReplacementViewSet
from fleet.api.units.mountings import MountingViewSet
from fleet.api.units.trends import MeterTrendsView
from fleet.api.units.units import UnitViewSet
from fleet.api.units.whereabouts import WhereaboutsViewSet


class AnyUuidConverter(UUIDConverter):
    """`<key:…>` in a path: a UUID of any version in either case, as whoever made it writes it."""

    regex = "[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{12}"


register_converter(UnitReferenceConverter, "unit")
register_converter(AnyUuidConverter, "key")

READ_AND_ADD: dict[str, Any] = {"get": "list", "post": "create"}
READ_AND_EDIT: dict[str, Any] = {"get": "retrieve", "patch": "partial_update"}


def _kind(name: str, view: type[OneKindViewSet]) -> list[URLPattern]:
    return [
        path(name, view.as_view(READ_AND_ADD), name=name),
        path(f"{name}/<unit:ref>", view.as_view(READ_AND_EDIT), name=f"{name}-one"),
    ]


urlpatterns = [
    path("tokens", TokenViewSet.as_view(READ_AND_ADD), name="tokens"),
    path("tokens/<key:key>", TokenViewSet.as_view({"delete": "destroy"}), name="tokens-one"),
    path("me", MeView.as_view(), name="me"),
    path("me/set-password", OwnPasswordView.as_view(), name="me-password"),
    *_kind("tractors", TractorViewSet),
    *_kind("trailers", TrailerViewSet),
    *_kind("cooling-units", CoolingUnitViewSet),
    path("cooling-units/<unit:ref>/readings", CoolingReadingViewSet.as_view(READ_AND_ADD), name="cooling-readings"),
    path("cooling-units/<unit:ref>/forecast", CoolingForecastView.as_view(), name="cooling-forecast"),
    path("units", UnitViewSet.as_view({"get": "list"}), name="units"),
    path("units/<unit:ref>", UnitViewSet.as_view({"get": "retrieve"}), name="units-one"),
    path("units/<unit:ref>/retire", UnitViewSet.as_view({"post": "retire"}), name="units-retire"),
    path("units/<unit:ref>/history", HistoryViewSet.as_view({"get": "list"}), name="units-history"),
    path("units/<unit:ref>/meter-trends", MeterTrendsView.as_view(), name="units-meter-trends"),
    path("units/<unit:ref>/file", UnitFileView.as_view(), name="units-file"),
    *table_urlpatterns,
    path("audit-rehearsals", RehearsalView.as_view(), name="audit-rehearsals"),
    path("couplings", CouplingViewSet.as_view(READ_AND_ADD), name="couplings"),
    path("couplings/<key:key>", CouplingViewSet.as_view({"get": "retrieve"}), name="couplings-one"),
    path("couplings/<key:key>/uncouple", CouplingViewSet.as_view({"post": "uncouple"}), name="couplings-uncouple"),
    path("mountings", MountingViewSet.as_view(READ_AND_ADD), name="mountings"),
    path("mountings/<key:key>", MountingViewSet.as_view({"get": "retrieve"}), name="mountings-one"),
    path("mountings/<key:key>/dismount", MountingViewSet.as_view({"post": "dismount"}), name="mountings-dismount"),
    path("whereabouts", WhereaboutsViewSet.as_view(READ_AND_ADD), name="whereabouts"),
    path("meter-readings", MeterReadingViewSet.as_view(READ_AND_ADD), name="meter-readings"),
    path("meter-readings/replacements", MeterReplacementViewSet.as_view(READ_AND_ADD), name="meter-replacements"),
    path("meter-readings/<key:key>", MeterReadingViewSet.as_view({"get": "retrieve"}), name="meter-readings-one"),
    path("people", PersonViewSet.as_view(READ_AND_ADD), name="people"),
    path("people/<key:key>", PersonViewSet.as_view(READ_AND_EDIT), name="people-one"),
    path("people/<key:key>/set-password", PersonViewSet.as_view({"post": "set_password"}), name="people-password"),
    path("people/<key:key>/leave", PersonViewSet.as_view({"post": "leave"}), name="people-leave"),
    path("people/<key:key>/roles", PersonRoleViewSet.as_view({"post": "create"}), name="people-roles"),
    path("people/<key:key>/roles/<key:role>/end", PersonRoleViewSet.as_view({"post": "end"}), name="people-role-end"),
    path("qualifications", QualificationViewSet.as_view(READ_AND_ADD), name="qualifications"),
    path("qualifications/<key:key>", QualificationViewSet.as_view({"get": "retrieve"}), name="qualifications-one"),
    path("qualifications/<key:key>/end", QualificationViewSet.as_view({"post": "end"}), name="qualifications-end"),
    path("sites", SiteViewSet.as_view(READ_AND_ADD), name="sites"),
    path("sites/<str:code>", SiteViewSet.as_view(READ_AND_EDIT), name="sites-one"),
    path("sites/<str:code>/close", SiteViewSet.as_view({"post": "close"}), name="sites-close"),
    path("carrier", CarrierView.as_view(), name="carrier"),
    path("policies", PolicyViewSet.as_view(READ_AND_ADD), name="policies"),
    path("documents", DocumentViewSet.as_view(READ_AND_ADD), name="documents"),
    path("documents/<key:key>", DocumentViewSet.as_view(READ_AND_EDIT), name="documents-one"),
    path("documents/<key:key>/replace", DocumentViewSet.as_view({"post": "replace"}), name="documents-replace"),
    path("documents/<key:key>/file", DocumentFileView.as_view(), name="documents-file"),
    path("expiries", ExpiryViewSet.as_view({"get": "list"}), name="expiries"),
    path("expiries/feeds", ExpiryFeedViewSet.as_view(READ_AND_ADD), name="expiry-feeds"),
    path("expiries/feeds/<key:key>", ExpiryFeedViewSet.as_view({"delete": "destroy"}), name="expiry-feeds-one"),
    path("expiries/feeds/<str:token>.ics", ExpiryFeedView.as_view(), name="expiry-feeds-read"),
    path("legal-holds", LegalHoldViewSet.as_view(READ_AND_ADD), name="legal-holds"),
    path("legal-holds/<key:key>", LegalHoldViewSet.as_view({"get": "retrieve"}), name="legal-holds-one"),
    path("legal-holds/<key:key>/lift", LegalHoldViewSet.as_view({"post": "lift"}), name="legal-holds-lift"),
    path("deletions", DeletionViewSet.as_view({"get": "list"}), name="deletions"),
    path("webhooks", WebhookViewSet.as_view(READ_AND_ADD), name="webhooks"),
    path("webhooks/<key:key>/close", WebhookViewSet.as_view({"post": "close"}), name="webhooks-close"),
    path("on-call", OnCallViewSet.as_view(READ_AND_ADD), name="on-call"),
    path("on-call/<key:key>/withdraw", OnCallViewSet.as_view({"post": "withdraw"}), name="on-call-withdraw"),
    path("notices", NotificationViewSet.as_view({"get": "list"}), name="notices"),
    path("notices/parked-deliveries", ParkedDeliveryViewSet.as_view({"get": "list"}), name="parked-deliveries"),
    path(
        "notices/parked-deliveries/retry",
        ParkedDeliveryViewSet.as_view({"post": "retry_all"}),
        name="parked-deliveries-retry-all",
    ),
    path(
        "notices/parked-deliveries/<key:key>/retry",
        ParkedDeliveryViewSet.as_view({"post": "retry"}),
        name="parked-deliveries-retry",
    ),
    path("notices/<key:key>", NotificationViewSet.as_view({"get": "retrieve"}), name="notices-one"),
    path(
        "notices/<key:key>/acknowledge",
        NotificationViewSet.as_view({"post": "acknowledge"}),
        name="notices-acknowledge",
    ),
    path("notices/<key:key>/snooze", NotificationViewSet.as_view({"post": "snooze"}), name="notices-snooze"),
]
