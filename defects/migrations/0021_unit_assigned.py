"""Who said, and when, which unit a report is on that named none that was known; never what the driver gave.

The deletion of a report's lists stays as 0010 has it.
"""

import django.db.models.deletion
from django.db import migrations, models
from django.db.models import Q

CHANGES = """
CREATE OR REPLACE FUNCTION refuse_report_change() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    lists CONSTANT text[] := ARRAY['checks', 'faults', 'queried', 'looked_at', 'left_open', 'checks_schema'];
{declared}BEGIN
{allowed}    IF TG_OP = 'UPDATE' AND (to_jsonb(NEW) - lists) = (to_jsonb(OLD) - lists)
       AND (NEW.checks, NEW.faults, NEW.queried, NEW.looked_at, NEW.left_open)
           = ('[]'::jsonb, '[]'::jsonb, '[]'::jsonb, '[]'::jsonb, '[]'::jsonb) AND NEW.checks_schema = 0
       AND EXISTS (SELECT FROM public.fleet_deletion AS deletion
                    WHERE deletion.what = 'report_checks' AND deletion.record = OLD.id) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'defects_report is append-only' USING ERRCODE = 'restrict_violation';
END $$;
"""

DECLARED = """    judged CONSTANT text[] := ARRAY['unit_id', 'checks', 'looked_at', 'places_asked', 'places_covered', 'left_open',
                                    'queried', 'review_owed', 'unit_assigned_by_id', 'unit_assigned_at'];
"""

ALLOWED = """    -- Once, and only how it is judged: each check but its verdict, and each leg but whether it counts, stay as given.
    IF TG_OP = 'UPDATE' AND OLD.unit_id IS NULL AND NEW.unit_id IS NOT NULL AND NEW.unit_assigned_at IS NOT NULL
       AND (to_jsonb(NEW) - judged) = (to_jsonb(OLD) - judged)
       AND (SELECT jsonb_agg(item - 'verdict' ORDER BY place)
              FROM jsonb_array_elements(NEW.checks) WITH ORDINALITY AS given(item, place))
           IS NOT DISTINCT FROM
           (SELECT jsonb_agg(item - 'verdict' ORDER BY place)
              FROM jsonb_array_elements(OLD.checks) WITH ORDINALITY AS given(item, place))
       AND (SELECT jsonb_agg(item - 'counts' ORDER BY place)
              FROM jsonb_array_elements(NEW.looked_at) WITH ORDINALITY AS given(item, place))
           IS NOT DISTINCT FROM
           (SELECT jsonb_agg(item - 'counts' ORDER BY place)
              FROM jsonb_array_elements(OLD.looked_at) WITH ORDINALITY AS given(item, place)) THEN
        RETURN NEW;
    END IF;
"""


class Migration(migrations.Migration):
    dependencies = [("defects", "0020_look_by_link"), ("fleet", "0028_seal_and_unit_notices")]

    operations = [
        migrations.AddField(
            model_name="report",
            name="unit_assigned_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="fleet.person",
            ),
        ),
        migrations.AddField(
            model_name="report",
            name="unit_assigned_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.RemoveConstraint(model_name="report", name="report_one_for_each_unit"),
        migrations.AddConstraint(
            model_name="report",
            constraint=models.UniqueConstraint(
                fields=("walkaround", "unit"),
                condition=Q(unit_assigned_at__isnull=True),
                name="report_one_for_each_unit",
            ),
        ),
        migrations.AddConstraint(
            model_name="report",
            constraint=models.CheckConstraint(
                condition=Q(unit_assigned_at__isnull=True, unit_assigned_by__isnull=True)
                | Q(unit_assigned_at__isnull=False, unit_assigned_by__isnull=False, unit__isnull=False),
                name="report_unit_assigned_whole",
            ),
        ),
        migrations.RunSQL(CHANGES.format(declared=DECLARED, allowed=ALLOWED), CHANGES.format(declared="", allowed="")),
    ]
