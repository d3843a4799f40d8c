"""What goes with the words of an entry: a report's own lists, and a photo's file; rows and hashes stay."""

from django.db import migrations

REPORTS = """
CREATE FUNCTION refuse_report_change() RETURNS trigger LANGUAGE plpgsql AS $$
DECLARE
    lists CONSTANT text[] := ARRAY['checks', 'faults', 'queried', 'checks_schema'];
BEGIN
    IF TG_OP = 'UPDATE' AND (to_jsonb(NEW) - lists) = (to_jsonb(OLD) - lists)
       AND (NEW.checks, NEW.faults, NEW.queried) = ('[]'::jsonb, '[]'::jsonb, '[]'::jsonb) AND NEW.checks_schema = 0
       AND EXISTS (SELECT FROM public.fleet_deletion AS deletion
                    WHERE deletion.what = 'report_checks' AND deletion.record = OLD.id) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'defects_report is append-only' USING ERRCODE = 'restrict_violation';
END $$;
DROP TRIGGER append_only ON defects_report;
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON defects_report
    FOR EACH ROW EXECUTE FUNCTION refuse_report_change();

-- Runs as the owner, inside the purge that deletes what the entry said: both go, with a record each, or neither does.
CREATE FUNCTION take_report_along() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind, kept_until,
                                       rule, source, content_hash, deleted_at, sweep)
    SELECT gen_random_uuid(), 'report_checks', report.id, NEW.unit_id, NEW.unit_name, report.walkaround_id, '',
           NEW.record_kind, NEW.kept_until, NEW.rule, NEW.source, walkaround.body_hash, NEW.deleted_at, NEW.sweep
      FROM public.defects_report AS report
      JOIN public.defects_walkaround AS walkaround ON walkaround.id = report.walkaround_id
     WHERE report.id = NEW.subject
        ON CONFLICT DO NOTHING;
    UPDATE public.defects_report SET checks = '[]', faults = '[]', queried = '[]', checks_schema = 0
     WHERE id = NEW.subject;
    RETURN NULL;
END $$;
CREATE TRIGGER take_report_along AFTER INSERT ON fleet_deletion FOR EACH ROW
    WHEN (NEW.what = 'history_content' AND NEW.event = 'report_signed') EXECUTE FUNCTION take_report_along();

-- A photo of several units' reports goes with the last of its entries.
CREATE FUNCTION take_photo_along() RETURNS trigger LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
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
    PERFORM public.ask_for_file_removal(ARRAY[photo.original_id, photo.without_location_id]::text[])
       FROM public.defects_photo AS photo WHERE photo.id = NEW.subject;
    RETURN NULL;
END $$;
CREATE TRIGGER take_photo_along AFTER INSERT ON fleet_deletion FOR EACH ROW
    WHEN (NEW.what = 'history_content' AND NEW.event = 'photo_received') EXECUTE FUNCTION take_photo_along();
"""

REPORTS_BACK = """
DROP TRIGGER take_photo_along ON fleet_deletion;
DROP FUNCTION take_photo_along();
DROP TRIGGER take_report_along ON fleet_deletion;
DROP FUNCTION take_report_along();
DROP TRIGGER append_only ON defects_report;
DROP FUNCTION refuse_report_change();
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON defects_report
    FOR EACH ROW EXECUTE FUNCTION refuse_change();
"""


class Migration(migrations.Migration):
    dependencies = [("defects", "0004_kept_for_repair"), ("fleet", "0010_purge_scans")]

    operations = [migrations.RunSQL(REPORTS, REPORTS_BACK)]
