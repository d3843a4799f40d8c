"""A signature under the setting aside of a report."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0029_signed_looks")]

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
                    ("second_look", "second look by an outsider"),
                    ("disposition", "disposition of food"),
                    ("answer", "answer to an officer's report"),
                    ("work_paused", "work paused as fit to move"),
                    ("set_aside", "report set aside"),
                ],
                max_length=12,
            ),
        )
    ]
