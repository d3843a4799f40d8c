"""Loads at risk by a temperature, which need no fault."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0009_heard_from"),
    ]

    operations = [
        migrations.AddField(
            model_name="loadatrisk",
            name="cause",
            field=models.CharField(
                choices=[
                    ("defect", "defect"),
                    ("product_too_warm", "product_too_warm"),
                    ("product_too_cold", "product_too_cold"),
                    ("product_corrected", "product_corrected"),
                    ("air_outside_range", "air_outside_range"),
                ],
                db_default="defect",
                default="defect",
                max_length=20,
            ),
        ),
        migrations.AddField(
            model_name="loadatrisk",
            name="cause_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="loadatrisk",
            name="facts",
            field=models.JSONField(db_default={}, default=dict),
        ),
        migrations.AddField(
            model_name="loadtemperature",
            name="too_long_until",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AlterField(
            model_name="loadatrisk",
            name="defect",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="loads_at_risk",
                to="defects.defect",
            ),
        ),
        migrations.AddConstraint(
            model_name="loadatrisk",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("cause", "defect"), ("defect__isnull", False)),
                    models.Q(
                        models.Q(("cause", "defect"), _negated=True),
                        ("cause_at__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="load_at_risk_has_its_cause",
            ),
        ),
    ]
