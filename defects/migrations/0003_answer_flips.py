"""Times during which what a clearance did not bar was barred."""

import django.db.models.deletion
from django.db import migrations, models

import common.ids


class Migration(migrations.Migration):
    dependencies = [("defects", "0002_append_only")]

    operations = [
        migrations.AddIndex(
            model_name="clearance",
            index=models.Index(fields=["arrival"], name="clearance_by_arrival"),
        ),
        migrations.CreateModel(
            name="AnswerFlip",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("number", models.PositiveSmallIntegerField()),
                ("barred_at", models.DateTimeField()),
                ("back_at", models.DateTimeField(blank=True, null=True)),
                (
                    "clearance",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="flips", to="defects.clearance"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("clearance", "number"), name="answer_flip_numbered"),
                    models.UniqueConstraint(
                        condition=models.Q(("back_at__isnull", True)),
                        fields=("clearance",),
                        name="answer_flip_one_standing",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("back_at__isnull", True),
                            ("back_at__gte", models.F("barred_at")),
                            _connector="OR",
                        ),
                        name="answer_flip_back_after",
                    ),
                ],
            },
        ),
    ]
