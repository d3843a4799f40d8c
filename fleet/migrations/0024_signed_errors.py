"""A signature under an error in entry."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0023_signed_in_another_way")]

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
                ],
                max_length=12,
            ),
        )
    ]
