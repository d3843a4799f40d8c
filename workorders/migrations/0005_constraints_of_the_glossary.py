"""Constraints, indexes and reverse names carry the glossary's words."""

from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0028_constraints_of_the_glossary"),
        ("fleet", "0039_indexes_of_the_glossary"),
        ("workorders", "0004_paused_for_cold_freight"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="repairorder",
            name="order_one_standing_for_unit",
        ),
        migrations.RemoveConstraint(
            model_name="repairtask",
            name="task_one_standing_for_defect",
        ),
        migrations.AddConstraint(
            model_name="repairorder",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state__in", ["open", "assigned", "in_progress", "waiting", "work_done"])),
                fields=("unit",),
                name="order_one_active_for_unit",
            ),
        ),
        migrations.AddConstraint(
            model_name="repairtask",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state__in", ["open", "started", "paused", "not_reproduced"])),
                fields=("defect",),
                name="task_one_active_for_defect",
            ),
        ),
    ]
