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
                    ("report", "driver vehicle inspection report"),
                    ("correction", "corrected on the spot, as the carrier's agent"),
                    ("certificate", "certificate"),
                    ("review", "driver review"),
                    ("lift", "lifting of a hold"),
                    ("in_error", "entered in error"),
                    ("refusal", "refusal"),
                    ("disposition", "disposition of food"),
                    ("answer", "answer to an officer's report"),
                ],
                max_length=12,
            ),
        )
    ]
