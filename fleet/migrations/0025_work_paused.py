"""A signature may say that a unit is fit to move with work undone."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("fleet", "0024_signed_errors"),
    ]

    operations = [
        migrations.AlterField(
            model_name="signature",
            name="purpose",
            field=models.CharField(
                choices=[
                    ("report", "report"),
                    ("correction", "correction"),
                    ("certificate", "certificate"),
                    ("review", "review"),
                    ("lift", "lift"),
                    ("in_error", "in_error"),
                    ("refusal", "refusal"),
                    ("disposition", "disposition"),
                    ("answer", "answer"),
                    ("work_paused", "work_paused"),
                ],
                max_length=12,
            ),
        ),
    ]
