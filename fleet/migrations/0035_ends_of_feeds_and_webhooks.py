import fleet.models.documents
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0034_restores")]

    operations = [
        migrations.AddField("feedtoken", "ends_on", models.DateField(db_default=fleet.models.documents.InAYear())),
        migrations.AddField("webhookendpoint", "ends_on", models.DateField(blank=True, null=True)),
        migrations.AddField(
            "webhookendpoint",
            "closed_by",
            models.ForeignKey(blank=True, null=True, on_delete=models.PROTECT, related_name="+", to="fleet.person"),
        ),
    ]
