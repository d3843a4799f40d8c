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
                    ("set_aside", "set_aside"),
                ],
                max_length=12,
            ),
        )
    ]
