"""What a worker saw of the broker's queue when it last took a message."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("fleet", "0032_cause_of_deliveries")]

    operations = [
        migrations.CreateModel(
            name="QueueReport",
            fields=[
                ("name", models.CharField(max_length=40, primary_key=True, serialize=False)),
                ("waiting", models.PositiveIntegerField()),
                ("waited_s", models.FloatField()),
                ("reported_at", models.DateTimeField()),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("waited_s__gte", 0)), name="queue_report_waited")
                ]
            },
        )
    ]
