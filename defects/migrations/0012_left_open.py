"""What an answer leaves open is kept with it; what barred for want of a fact moves from the unknowns to the reasons."""

from django.db import migrations, models

MOVE = """
ALTER TABLE defects_clearance DISABLE TRIGGER append_only;
UPDATE defects_clearance SET
    reasons = (
        SELECT COALESCE(jsonb_agg(row ORDER BY row->>'kind', at), '[]') FROM (
            SELECT row, at FROM jsonb_array_elements(reasons) WITH ORDINALITY AS had (row, at)
            UNION ALL
            SELECT (row - 'bars') || '{"kind": "bars", "source": "", "since": null, "expected_at": null}', at
              FROM jsonb_array_elements(unknown) WITH ORDINALITY AS barring (row, at) WHERE (row->>'bars')::boolean
        ) AS every),
    unknown = (
        SELECT COALESCE(jsonb_agg(row - 'bars' ORDER BY at), '[]')
          FROM jsonb_array_elements(unknown) WITH ORDINALITY AS left_unknown (row, at)
         WHERE NOT (row->>'bars')::boolean)
 WHERE unknown <> '[]';
ALTER TABLE defects_clearance ENABLE TRIGGER append_only;
"""

BACK = """
ALTER TABLE defects_clearance DISABLE TRIGGER append_only;
UPDATE defects_clearance SET unknown = (
    SELECT jsonb_agg(row || '{"bars": false}' ORDER BY at)
      FROM jsonb_array_elements(unknown) WITH ORDINALITY AS said (row, at))
 WHERE unknown <> '[]';
ALTER TABLE defects_clearance ENABLE TRIGGER append_only;
"""


class Migration(migrations.Migration):
    dependencies = [("defects", "0011_signing_links")]

    operations = [
        migrations.AddField("clearance", "left_open", models.JSONField(default=list)),
        migrations.RunSQL(MOVE, BACK),
    ]
