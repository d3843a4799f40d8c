"""A load's States and a clearance request's are called as a document's is; what a second look found is no finding."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0010_loads_at_risk_by_temperature"),
    ]

    operations = [
        migrations.RenameField("load", "states", "us_states"),
        migrations.RenameField("clearance", "states", "us_states"),
        migrations.RenameField("secondlook", "finding", "found"),
    ]
