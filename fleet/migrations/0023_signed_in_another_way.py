"""Signatures made in a way that is not known here."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0022_when_deliveries_were_owed")]

    operations = [
        migrations.AlterField(
            model_name="signature",
            name="method",
            field=models.CharField(
                choices=[
                    ("drawn", "drawn"),
                    ("typed", "typed"),
                    ("code", "code"),
                    ("paper", "paper"),
                    ("other", "other"),
                ],
                max_length=8,
            ),
        ),
    ]
