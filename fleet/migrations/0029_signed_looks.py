"""A signature under a second look by an outsider."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0028_seal_and_unit_notices")]

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
                    ("second_look", "second_look"),
                    ("disposition", "disposition"),
                    ("answer", "answer"),
                    ("work_paused", "work_paused"),
                ],
                max_length=12,
            ),
        )
    ]
