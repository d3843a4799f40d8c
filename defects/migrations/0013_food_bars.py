"""Faults that keep food off, cold or dry."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("defects", "0012_left_open")]

    operations = [
        migrations.RemoveConstraint(
            model_name="defect",
            name="defect_bars_known",
        ),
        migrations.AlterField(
            model_name="defect",
            name="bars",
            field=models.CharField(
                choices=[
                    ("movement", "movement"),
                    ("food", "food"),
                    ("cold_freight", "cold_freight"),
                    ("nothing", "nothing"),
                ],
                max_length=12,
            ),
        ),
        migrations.AlterField(
            model_name="sighting",
            name="bars",
            field=models.CharField(
                choices=[
                    ("movement", "movement"),
                    ("food", "food"),
                    ("cold_freight", "cold_freight"),
                    ("nothing", "nothing"),
                ],
                max_length=12,
            ),
        ),
        migrations.AddConstraint(
            model_name="defect",
            constraint=models.CheckConstraint(
                condition=models.Q(("bars__in", ["movement", "food", "cold_freight", "nothing"])),
                name="defect_bars_known",
            ),
        ),
    ]
