"""Models carry the glossary's names."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("fleet", "0036_notices_by_cause")]

    operations = [
        migrations.RenameModel("Notice", "Notification"),
        migrations.RenameModel("OnCallTurn", "OnCallShift"),
        migrations.RenameModel("SweepPlace", "JobPlace"),
        migrations.RenameModel("SweepRun", "JobRun"),
        migrations.RenameModel("PassedOver", "SkippedRecord"),
    ]
