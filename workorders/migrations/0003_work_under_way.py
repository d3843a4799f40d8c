"""Tasks that were started before stand as work in progress."""

from django.db import migrations

FILL = """
INSERT INTO defects_workinprogress (id, unit_id, task_id, order_id, order_number, what, since, undone, expected_at)
SELECT task.id, part_of.unit_id, task.id, part_of.id, part_of.number, task.complaint,
       COALESCE(task.started_at, task.opened_at), '', part_of.expected_at
  FROM workorders_repairtask AS task
  JOIN workorders_repairorder AS part_of ON part_of.id = task.order_id
 WHERE task.state = 'started'
"""


class Migration(migrations.Migration):
    dependencies = [("workorders", "0002_paused_tasks")]

    operations = [migrations.RunSQL(FILL, "DELETE FROM defects_workinprogress")]
