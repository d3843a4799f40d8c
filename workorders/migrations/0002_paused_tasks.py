"""Tasks may be signed paused, saying what is undone."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("defects", "0016_work_in_progress"),
        ("fleet", "0025_work_paused"),
        ("workorders", "0001_tables"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="repairtask",
            name="task_one_standing_for_defect",
        ),
        migrations.RemoveConstraint(
            model_name="repairtask",
            name="task_state_known",
        ),
        migrations.AddField(
            model_name="repairtask",
            name="pause_signature",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="paused_task",
                to="fleet.signature",
            ),
        ),
        migrations.AddField(
            model_name="repairtask",
            name="undone",
            field=models.TextField(blank=True, default=""),
        ),
        migrations.AlterField(
            model_name="repairtask",
            name="state",
            field=models.CharField(
                choices=[
                    ("open", "open"),
                    ("started", "started"),
                    ("paused", "paused"),
                    ("done", "done"),
                    ("not_reproduced", "not_reproduced"),
                    ("cancelled", "cancelled"),
                ],
                default="open",
                max_length=16,
            ),
        ),
        migrations.AddConstraint(
            model_name="repairtask",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state__in", ["open", "started", "paused", "not_reproduced"])),
                fields=("defect",),
                name="task_one_standing_for_defect",
            ),
        ),
        migrations.AddConstraint(
            model_name="repairtask",
            constraint=models.CheckConstraint(
                condition=models.Q(("state__in", ["open", "started", "paused", "done", "not_reproduced", "cancelled"])),
                name="task_state_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="repairtask",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "paused"), _negated=True),
                    models.Q(models.Q(("undone", ""), _negated=True), ("pause_signature__isnull", False)),
                    _connector="OR",
                ),
                name="task_paused_says_what_is_undone",
            ),
        ),
    ]
