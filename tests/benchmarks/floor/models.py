"""A parent and its rows."""

from django.db import models


class Parent(models.Model):
    name = models.CharField(max_length=40)

    class Meta:
        app_label = "floor"


class Line(models.Model):
    parent = models.ForeignKey(Parent, on_delete=models.CASCADE, related_name="lines")
    text = models.CharField(max_length=40)

    class Meta:
        app_label = "floor"
