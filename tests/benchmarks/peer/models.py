"""The peer's tables."""

from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models


class PeerModel(models.Model):
    objects: ClassVar[models.Manager[Self]] = models.Manager()

    class Meta:
        abstract = True
        app_label = "peer"


class Unit(PeerModel):
    number = models.CharField(max_length=32, unique=True)
    kind = models.CharField(max_length=16)
    retired = models.BooleanField(default=False)


class Point(PeerModel):
    """What is looked at on every unit of a kind, at some place: by a leg or one by one, within limits if measured."""

    kind = models.CharField(max_length=16)
    code = models.CharField(max_length=80)
    place = models.CharField(max_length=40, blank=True)
    leg = models.CharField(max_length=40)
    by_leg = models.BooleanField()
    asked = models.BooleanField()
    minimum = models.DecimalField(max_digits=12, decimal_places=4, null=True)
    maximum = models.DecimalField(max_digits=12, decimal_places=4, null=True)

    class Meta(PeerModel.Meta):
        constraints = (models.UniqueConstraint(fields=("kind", "code", "place"), name="point_once"),)


class Signature(PeerModel):
    signer = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    method = models.CharField(max_length=8)
    shown = models.TextField()
    signed_at = models.DateTimeField()
    content_hash = models.CharField(max_length=64)


class Walkaround(PeerModel):
    id = models.UUIDField(primary_key=True)
    kind = models.CharField(max_length=12)
    driver = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    signature = models.OneToOneField(Signature, on_delete=models.PROTECT)
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField()
    received_at = models.DateTimeField(auto_now_add=True)
    coupled = models.BooleanField()


class Report(PeerModel):
    walkaround = models.ForeignKey(Walkaround, on_delete=models.PROTECT, related_name="reports")
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="reports")
    checks: Any = models.JSONField()
    looked_at: Any = models.JSONField()
    answered = models.PositiveSmallIntegerField()
    sound = models.BooleanField()

    class Meta(PeerModel.Meta):
        constraints = (models.UniqueConstraint(fields=("walkaround", "unit"), name="report_of_each_unit"),)


class Measurement(PeerModel):
    report = models.ForeignKey(Report, on_delete=models.PROTECT, related_name="measurements")
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="measurements")
    point = models.CharField(max_length=80)
    place = models.CharField(max_length=40, blank=True)
    value = models.DecimalField(max_digits=12, decimal_places=4)
    unit_of_measure = models.CharField(max_length=16)
    measured_at = models.DateTimeField()


class Defect(PeerModel):
    report = models.ForeignKey(Report, on_delete=models.PROTECT, related_name="defects")
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="defects")
    point = models.CharField(max_length=80)
    place = models.CharField(max_length=40, blank=True)
    found_at = models.DateTimeField()


class History(PeerModel):
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="history")
    kind = models.CharField(max_length=48)
    subject = models.UUIDField()
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)
    performed_at = models.DateTimeField()
    recorded_at = models.DateTimeField(auto_now_add=True)
    body: Any = models.JSONField()
