"""Reports that somebody set aside, so that answers are given without them."""

import django.db.models.deletion
from django.db import migrations, models

import common.ids


class Migration(migrations.Migration):
    dependencies = [("defects", "0021_unit_assigned"), ("fleet", "0030_signed_setting_aside")]

    operations = [
        migrations.CreateModel(
            name="SetAside",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("reason", models.TextField()),
                ("set_aside_at", models.DateTimeField()),
                (
                    "report",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="set_aside", to="defects.report"
                    ),
                ),
                (
                    "signature",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="set_aside", to="fleet.signature"
                    ),
                ),
            ],
            options={"verbose_name_plural": "reports set aside"},
        ),
        migrations.RunSQL(
            "SELECT keep_append_only('defects_setaside')",
            "DROP TRIGGER append_only ON defects_setaside; DROP TRIGGER append_only_whole ON defects_setaside;",
        ),
    ]
