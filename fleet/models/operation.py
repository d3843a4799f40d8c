"""Where long jobs were cut off, and when each last ran. What is due is remembered by its own rows, never here."""

from django.db import models
from django.db.models import Q

from fleet.models.base import Keyed


class JobPlace(models.Model):
    """After which row a job of a day was cut off; gone once it has come to the end, of no meaning on another day."""

    name = models.CharField(max_length=40, primary_key=True)
    day = models.DateField()
    after_day = models.DateField(null=True, blank=True)
    after_id = models.UUIDField()

    def __str__(self) -> str:
        return f"{self.name} on {self.day}"


class JobRun(models.Model):
    """When a job last ended well and when it last failed, for whoever watches; no job reads it."""

    name = models.CharField(max_length=40, primary_key=True)
    ended_well_at = models.DateTimeField(null=True, blank=True)
    failed_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class QueueReport(models.Model):
    """What a worker saw of the broker's queue when it last took a message: how many wait, how long that one waited."""

    name = models.CharField(max_length=40, primary_key=True)
    waiting = models.PositiveIntegerField()
    waited_s = models.FloatField()
    reported_at = models.DateTimeField()

    class Meta:
        constraints = (models.CheckConstraint(condition=Q(waited_s__gte=0), name="queue_report_waited"),)

    def __str__(self) -> str:
        return self.name


class SkippedRecord(Keyed):
    """What a job could not work on; gone once it goes well again. `why` is the error, for administrators."""

    job = models.CharField(max_length=40)
    subject = models.UUIDField()
    why = models.CharField(max_length=200)
    first_at = models.DateTimeField()
    last_at = models.DateTimeField()

    class Meta:
        constraints = (models.UniqueConstraint(fields=("job", "subject"), name="skipped_record_once"),)

    def __str__(self) -> str:
        return f"{self.job} passes over {self.subject}"
