"""Columns and the functions that name them carry the glossary's words."""

from django.db import migrations

AS_THEY_READ_NOW = """
CREATE OR REPLACE FUNCTION public.refuse_report_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
DECLARE
    lists CONSTANT text[] := ARRAY['checks', 'faults', 'flags', 'looked_at', 'left_open', 'checks_schema'];
    judged CONSTANT text[] := ARRAY['unit_id', 'checks', 'looked_at', 'places_asked', 'places_covered', 'left_open',
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
CREATE OR REPLACE FUNCTION public.take_photo_along()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    IF EXISTS (SELECT FROM public.fleet_historyentry AS entry
                WHERE entry.subject = NEW.subject AND entry.kind = 'photo_received'
                  AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion WHERE deletion.entry_id = entry.id)) THEN
        RETURN NULL;
    END IF;
    INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind, retained_until,
                                       rule, source, content_hash, deleted_at, run)
    SELECT gen_random_uuid(), 'photo', photo.id, NEW.unit_id, NEW.unit_name,
           coalesce(photo.defect_id, photo.walkaround_id), '', NEW.record_kind, NEW.retained_until, NEW.rule, NEW.source,
           photo.original_id, NEW.deleted_at, NEW.run
      FROM public.defects_photo AS photo
     WHERE photo.id = NEW.subject
        ON CONFLICT DO NOTHING;
    PERFORM public.request_file_removal(
                array_remove(ARRAY[photo.original_id, photo.without_location_id]::text[], NULL))
       FROM public.defects_photo AS photo WHERE photo.id = NEW.subject;
    RETURN NULL;
END $function$;
CREATE OR REPLACE FUNCTION public.take_report_along()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind, retained_until,
                                       rule, source, content_hash, deleted_at, run)
    SELECT gen_random_uuid(), 'report_checks', report.id, NEW.unit_id, NEW.unit_name, report.walkaround_id, '',
           NEW.record_kind, NEW.retained_until, NEW.rule, NEW.source, walkaround.body_hash, NEW.deleted_at, NEW.run
      FROM public.defects_report AS report
      JOIN public.defects_walkaround AS walkaround ON walkaround.id = report.walkaround_id
     WHERE report.id = NEW.subject
        ON CONFLICT DO NOTHING;
    UPDATE public.defects_report SET checks = '[]', faults = '[]', flags = '[]', looked_at = '[]', left_open = '[]', checks_schema = 0
     WHERE id = NEW.subject;
    RETURN NULL;
END $function$;
"""
AS_THEY_READ_BEFORE = """
CREATE OR REPLACE FUNCTION public.refuse_report_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
DECLARE
    lists CONSTANT text[] := ARRAY['checks', 'faults', 'queried', 'looked_at', 'left_open', 'checks_schema'];
    judged CONSTANT text[] := ARRAY['unit_id', 'checks', 'looked_at', 'places_asked', 'places_covered', 'left_open',
                                    'queried', 'review_owed', 'unit_assigned_by_id', 'unit_assigned_at'];
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
       AND (NEW.checks, NEW.faults, NEW.queried, NEW.looked_at, NEW.left_open)
           = ('[]'::jsonb, '[]'::jsonb, '[]'::jsonb, '[]'::jsonb, '[]'::jsonb) AND NEW.checks_schema = 0
       AND EXISTS (SELECT FROM public.fleet_deletion AS deletion
                    WHERE deletion.what = 'report_checks' AND deletion.record = OLD.id) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'defects_report is append-only' USING ERRCODE = 'restrict_violation';
END $function$;
CREATE OR REPLACE FUNCTION public.take_photo_along()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    IF EXISTS (SELECT FROM public.fleet_historyentry AS entry
                WHERE entry.subject = NEW.subject AND entry.kind = 'photo_received'
                  AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion WHERE deletion.entry_id = entry.id)) THEN
        RETURN NULL;
    END IF;
    INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind, kept_until,
                                       rule, source, content_hash, deleted_at, sweep)
    SELECT gen_random_uuid(), 'photo', photo.id, NEW.unit_id, NEW.unit_name,
           coalesce(photo.defect_id, photo.walkaround_id), '', NEW.record_kind, NEW.kept_until, NEW.rule, NEW.source,
           photo.original_id, NEW.deleted_at, NEW.sweep
      FROM public.defects_photo AS photo
     WHERE photo.id = NEW.subject
        ON CONFLICT DO NOTHING;
    PERFORM public.ask_for_file_removal(
                array_remove(ARRAY[photo.original_id, photo.without_location_id]::text[], NULL))
       FROM public.defects_photo AS photo WHERE photo.id = NEW.subject;
    RETURN NULL;
END $function$;
CREATE OR REPLACE FUNCTION public.take_report_along()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind, kept_until,
                                       rule, source, content_hash, deleted_at, sweep)
    SELECT gen_random_uuid(), 'report_checks', report.id, NEW.unit_id, NEW.unit_name, report.walkaround_id, '',
           NEW.record_kind, NEW.kept_until, NEW.rule, NEW.source, walkaround.body_hash, NEW.deleted_at, NEW.sweep
      FROM public.defects_report AS report
      JOIN public.defects_walkaround AS walkaround ON walkaround.id = report.walkaround_id
     WHERE report.id = NEW.subject
        ON CONFLICT DO NOTHING;
    UPDATE public.defects_report SET checks = '[]', faults = '[]', queried = '[]', looked_at = '[]', left_open = '[]', checks_schema = 0
     WHERE id = NEW.subject;
    RETURN NULL;
END $function$;
"""


class Migration(migrations.Migration):
    dependencies = [("defects", "0026_names_of_the_glossary"), ("fleet", "0038_columns_of_the_glossary")]

    operations = [
        migrations.RemoveConstraint(
            model_name="activebar",
            name="standing_bar_once",
        ),
        migrations.RemoveConstraint(
            model_name="activebar",
            name="standing_bar_gone_after",
        ),
        migrations.RemoveConstraint(
            model_name="clearancechange",
            name="answer_flip_numbered",
        ),
        migrations.RemoveConstraint(
            model_name="clearancechange",
            name="answer_flip_one_standing",
        ),
        migrations.RemoveConstraint(
            model_name="clearancechange",
            name="answer_flip_back_after",
        ),
        migrations.RemoveConstraint(
            model_name="hold",
            name="hold_one_standing_for_defect",
        ),
        migrations.RemoveIndex(
            model_name="clearance",
            name="clearance_newest",
        ),
        migrations.RemoveIndex(
            model_name="report",
            name="report_to_review",
        ),
        migrations.RunSQL(migrations.RunSQL.noop, AS_THEY_READ_BEFORE),
        migrations.RenameField("clearance", "asked_at", "requested_at"),
        migrations.RenameField("clearance", "asked_by", "requested_by"),
        migrations.RenameField("walkaround", "queried", "flags"),
        migrations.RenameField("report", "queried", "flags"),
        migrations.RenameField("report", "review_owed", "review_due"),
        migrations.RenameField("defect", "standing", "authority"),
        migrations.RunSQL(AS_THEY_READ_NOW, migrations.RunSQL.noop),
    ]
