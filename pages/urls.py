"""The addresses of the pages."""

from django.urls import path

from pages.views.combination import combination, label, unit
from pages.views.documents import documents, scan
from pages.views.refusals import copy, refusal, refuse
from pages.views.reviews import report, review
from pages.views.sign_in import password, sign_in, sign_out
from pages.views.today import today
from pages.views.walk import manifest, service_worker, walk
from pages.views.walkarounds import receipt

app_name = "pages"
urlpatterns = [
    path("", today, name="today"),
    path("sign-in", sign_in, name="sign-in"),
    path("sign-out", sign_out, name="sign-out"),
    path("walk", walk, name="walk"),
    path("service-worker.js", service_worker, name="service-worker"),
    path("manifest.webmanifest", manifest, name="manifest"),
    path("password", password, name="password"),
    path("combination", combination, name="combination"),
    path("units/<unit:ref>", unit, name="unit"),
    path("units/<unit:ref>/label", label, name="label"),
    path("review", review, name="review"),
    path("reports/<key:key>", report, name="report"),
    path("walkarounds/<key:key>", receipt, name="receipt"),
    path("documents", documents, name="documents"),
    path("documents/<key:key>/scan", scan, name="scan"),
    path("refusal", refuse, name="refuse"),
    path("refusals/<key:key>", refusal, name="refusal"),
    path("refusals/<key:key>/copy", copy, name="copy"),
]
