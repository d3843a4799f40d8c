"""Columns by the glossary's words. The trigger of reports names one of them, so its function is written anew."""

from django.db import migrations

FUNCTION = r"""
CREATE OR REPLACE FUNCTION public.refuse_report_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
DECLARE
    lists CONSTANT text[] := ARRAY['checks', 'faults', 'flags', 'looked_at', 'left_open', 'checks_schema'];
    judged CONSTANT text[] := ARRAY['unit_id', 'checks', 'looked_at', 'places_required', 'places_covered', 'left_open',
                                    'flags', 'review_due', 'unit_assigned_by_id', 'unit_assigned_at'];
BEGIN
    -- Once, and only how it is judged: each check but its verdict, and each leg but whether it counts, stay as given.
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
    IF TG_OP = 'UPDATE' AND (to_jsonb(NEW) - lists) = (to_jsonb(OLD) - lists)
       AND (NEW.checks, NEW.faults, NEW.flags, NEW.looked_at, NEW.left_open)
           = ('[]'::jsonb, '[]'::jsonb, '[]'::jsonb, '[]'::jsonb, '[]'::jsonb) AND NEW.checks_schema = 0
       AND EXISTS (SELECT FROM public.fleet_deletion AS deletion
                    WHERE deletion.what = 'report_checks' AND deletion.record = OLD.id) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'defects_report is append-only' USING ERRCODE = 'restrict_violation';
END $function$;
"""
BACK = FUNCTION.replace("'places_required'", "'places_asked'")


class Migration(migrations.Migration):
    dependencies = [("defects", "0001_initial")]

    operations = [
        migrations.RenameField("report", "places_asked", "places_required"),
        migrations.RenameField("signinglink", "digest", "token_hash"),
        migrations.RunSQL(FUNCTION, BACK),
    ]
