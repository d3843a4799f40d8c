"""Models carry the glossary's names."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("defects", "0025_certificates_by_report")]

    operations = [
        migrations.RenameModel("AnswerFlip", "ClearanceChange"),
        migrations.RenameModel("StandingBar", "ActiveBar"),
    ]
