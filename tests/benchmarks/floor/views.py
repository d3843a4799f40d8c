"""One POST that stores a parent and its rows, for whoever is signed in."""

from typing import Any

from django.db import transaction
from rest_framework import serializers
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceView
from tests.benchmarks.floor.models import Line, Parent


class LineSerializer(serializers.ModelSerializer[Line]):
    class Meta:
        model = Line
        fields = ("text",)


class ParentSerializer(serializers.ModelSerializer[Parent]):
    lines = LineSerializer(many=True)

    class Meta:
        model = Parent
        fields = ("id", "name", "lines")

    @transaction.atomic
    def create(self, validated_data: dict[str, Any]) -> Parent:
        lines = validated_data.pop("lines")
        parent: Parent = Parent._default_manager.create(**validated_data)
        Line._default_manager.bulk_create([Line(parent=parent, **line) for line in lines])
        return parent


class FloorView(ServiceView):
    roles = {"post": ANY_ROLE}
    idempotency = "none"

    def post(self, request: ServiceRequest) -> Response:
        given = ParentSerializer(data=request.data)
        given.is_valid(raise_exception=True)
        given.save()
        return Response(given.data, status=201)
