"""PUT and GET of a walk-around, and whether the peer answers."""

import hashlib
import json
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.utils.encoders import JSONEncoder
from rest_framework.views import APIView

from tests.benchmarks.peer.models import Defect, History, Measurement, Report, Signature, Unit, Walkaround
from tests.benchmarks.peer.serializers import Receipt, WalkaroundSerializer

RECEIPTS = Walkaround.objects.prefetch_related(Prefetch("reports", Report.objects.select_related("unit")))


def alive(_: HttpRequest) -> HttpResponse:
    return HttpResponse()


class WalkaroundView(APIView):
    def get(self, request: Request, key: UUID) -> Response:
        return Response(Receipt(get_object_or_404(RECEIPTS, pk=key, driver=request.user)).data)

    def put(self, request: Request, key: UUID) -> Response:
        content_hash = hashlib.sha256(json.dumps(request.data, sort_keys=True).encode()).hexdigest()
        known = Walkaround.objects.select_related("signature").filter(pk=key).first()
        if known is not None:
            same = known.signature.content_hash == content_hash and known.driver == request.user
            return self.get(request, key) if same else Response({"detail": "Another body."}, status=409)
        serializer = WalkaroundSerializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        store(key, serializer.validated_data, content_hash, request.user)
        return Response(Receipt(RECEIPTS.get(pk=key)).data, status=201)


@transaction.atomic
def store(key: UUID, given: dict[str, Any], content_hash: str, driver: Any) -> None:
    at, of_units = given["finished_at"], given["reports"]
    list(Unit.objects.select_for_update().filter(pk__in=[row["unit"].pk for row in of_units]).order_by("pk"))
    signature = Signature.objects.create(signer=driver, content_hash=content_hash, **given["signature"])
    walkaround = Walkaround.objects.create(
        id=key,
        kind=given["kind"],
        driver=driver,
        signature=signature,
        started_at=given["started_at"],
        finished_at=at,
        coupled=given["coupled"],
    )
    reports = Report.objects.bulk_create(
        Report(
            walkaround=walkaround,
            unit=row["unit"],
            checks=_plain(row["checks"]),
            looked_at=_plain(row["looked_at"]),
            answered=row["answered"],
            sound=all(check["answer"] != "defect" for check in row["checks"]),
        )
        for row in of_units
    )
    answers = [(report, check) for report, row in zip(reports, of_units, strict=True) for check in row["checks"]]
    Measurement.objects.bulk_create(
        Measurement(
            report=report,
            unit=report.unit,
            point=check["point"],
            place=check["place"],
            value=check["value"],
            unit_of_measure=check["unit_of_measure"],
            measured_at=at,
        )
        for report, check in answers
        if "value" in check
    )
    Defect.objects.bulk_create(
        Defect(report=report, unit=report.unit, point=check["point"], place=check["place"], found_at=at)
        for report, check in answers
        if check["answer"] == "defect"
    )
    History.objects.bulk_create(
        History(
            unit=report.unit,
            kind="walkaround",
            subject=key,
            actor=driver,
            performed_at=at,
            body={"kind": given["kind"], "checks": report.checks, "sound": report.sound},
        )
        for report in reports
    )


def _plain(rows: list[dict[str, Any]]) -> Any:
    return json.loads(json.dumps(rows, cls=JSONEncoder))
