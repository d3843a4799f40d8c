"""Who keeps the evidence of an outside inspector, and papers whose inspector nothing shows to be qualified."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0017_lifts_elsewhere")]

    operations = [
        migrations.AddField("document", "evidence_held_by", models.CharField(blank=True, default="", max_length=160)),
        migrations.AddField("document", "inspector_unproven", models.BooleanField(default=False)),
    ]
