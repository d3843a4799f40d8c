"""The step of a reminder on its notice, the index that finds late papers nobody acknowledged, where a sweep stands."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Adds one column, one index and one table."""

    dependencies = [("fleet", "0004_feed_tokens")]
    operations = [
        migrations.CreateModel(
            "SweepPlace",
            [
                ("name", models.CharField(max_length=40, primary_key=True, serialize=False)),
                ("day", models.DateField()),
                ("after_day", models.DateField(blank=True, null=True)),
                ("after_id", models.UUIDField()),
            ],
        ),
        migrations.AddField("notice", "step", models.CharField(blank=True, default="", max_length=60)),
        migrations.AddIndex(
            "notice",
            models.Index(
                condition=models.Q(
                    ("acknowledged_at__isnull", True),
                    ("code__in", ("document_overdue", "document_missing")),
                    ("escalated_at__isnull", True),
                ),
                fields=["owed_at"],
                name="notice_paper_to_escalate",
            ),
        ),
    ]
