"""Defects on record keep what they needed: a certificate before the unit is driven again, or none."""

from django.db import migrations

LISTED = """
UPDATE defects_defect SET listing = CASE
    WHEN NOT graded THEN 'ungraded'
    WHEN roadside_id IS NOT NULL THEN 'officer'
    WHEN severity IN ('before_next_use', 'do_not_move') OR regulation_severity = '' THEN 'safety'
    ELSE 'regulation'
END
WHERE NOT graded OR severity IN ('before_next_use', 'do_not_move')
   OR (standing = 'statutory' AND severity = 'next_shop_visit')
"""


class Migration(migrations.Migration):
    dependencies = [("defects", "0017_listing")]

    operations = [migrations.RunSQL(LISTED, migrations.RunSQL.noop)]
