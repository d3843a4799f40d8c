"""Columns, functions, jobs and a delivery's state carry the glossary's words."""

from django.db import migrations

GIVE_NEW_NAMES = """
DROP FUNCTION public.purge_scans(text, uuid[], date, uuid, text, text);
DROP FUNCTION public.purge_history_content(text, uuid[], date, uuid, text, text);
DROP FUNCTION public.purge_due_scans(date, uuid[], integer);
DROP FUNCTION public.purge_due_history(date, uuid[], integer);
ALTER FUNCTION public.kept_until(text, date, date) RENAME TO retained_until;
ALTER FUNCTION public.kept_for_repair(uuid, date) RENAME TO needed_for_repair;
ALTER FUNCTION public.ask_for_file_removal(text[]) RENAME TO request_file_removal;
"""
GIVE_OLD_NAMES = """
DROP FUNCTION public.purge_scans(text, uuid[], date, uuid, text, text);
DROP FUNCTION public.purge_history_content(text, uuid[], date, uuid, text, text);
DROP FUNCTION public.purge_due_scans(date, uuid[], integer);
DROP FUNCTION public.purge_due_history(date, uuid[], integer);
ALTER FUNCTION public.retained_until(text, date, date) RENAME TO kept_until;
ALTER FUNCTION public.needed_for_repair(uuid, date) RENAME TO kept_for_repair;
ALTER FUNCTION public.request_file_removal(text[]) RENAME TO ask_for_file_removal;
"""
AS_THEY_READ_NOW = """
CREATE OR REPLACE FUNCTION public.purge_due_history(today date, among uuid[], at_most integer)
 RETURNS TABLE(what text, record uuid, unit uuid, unit_name text, subject uuid, event text, record_kind text, retained_until date, content_hash text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT 'history_content', past.id, past.unit_id, past.unit_name, past.subject, past.kind, past.record_kind,
           past.until, encode(past.content_hash, 'hex')
      FROM (SELECT entry.id, entry.unit_id, entry.subject, entry.kind, entry.content_hash, content.record_kind,
                   unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END || unit.owner AS unit_name,
                   public.retained_until(content.record_kind, content.retained_until, unit.retired_on) AS until
              FROM public.fleet_historycontent AS content
              JOIN public.fleet_historyentry AS entry ON entry.id = content.entry_id
              JOIN public.fleet_unit AS unit ON unit.id = entry.unit_id
             WHERE content.entry_id = ANY (coalesce(among, ARRAY(
                       SELECT old.entry_id
                         FROM public.fleet_historycontent AS old
                         JOIN public.fleet_historyentry AS link ON link.id = old.entry_id
                        WHERE old.retained_until < today
                          AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                                           WHERE hold.unit_id = link.unit_id AND hold.lifted_at IS NULL)
                        ORDER BY old.retained_until, old.entry_id
                        LIMIT 100000)))
               AND content.retained_until < today
               AND entry.recorded_at < today - interval '3 months'
               AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                                WHERE hold.unit_id = entry.unit_id AND hold.lifted_at IS NULL)
             ORDER BY content.retained_until, content.entry_id
            OFFSET 0) AS past
     WHERE past.until < today
       AND NOT public.needed_for_repair(past.id, today)
     LIMIT at_most $function$;
CREATE OR REPLACE FUNCTION public.purge_due_scans(today date, among uuid[], at_most integer)
 RETURNS TABLE(what text, record uuid, unit uuid, unit_name text, subject uuid, event text, record_kind text, retained_until date, content_hash text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT 'scan', document.id, document.unit_id,
           coalesce(unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END || unit.owner, ''),
           coalesce(document.unit_id, document.person_id), '', document.scan_record_kind,
           public.retained_until('maintenance', document.scan_retained_until, unit.retired_on), document.file_id
      FROM public.fleet_document AS document
      LEFT JOIN public.fleet_unit AS unit ON unit.id = document.unit_id
     WHERE document.superseded_at IS NOT NULL AND document.file_id IS NOT NULL
       AND document.scan_retained_until < today
       AND (among IS NULL OR document.id = ANY (among))
       AND document.recorded_at < today - interval '1 year' AND document.superseded_at < today
       AND public.retained_until('maintenance', document.scan_retained_until, unit.retired_on) < today
       AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                        WHERE hold.unit_id = document.unit_id AND hold.lifted_at IS NULL)
       AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion
                        WHERE deletion.what = 'scan' AND deletion.record = document.id)
     ORDER BY document.scan_retained_until, document.id
     LIMIT at_most $function$;
CREATE OR REPLACE FUNCTION public.purge_history_content(kind text, entries uuid[], today date, run uuid, rule text, source text)
 RETURNS integer
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
DECLARE
    units uuid[];
    removed integer;
BEGIN
    PERFORM public.refuse_untimely_purge(today);
    SELECT array_agg(locked.unit_id) INTO units
      FROM (SELECT chain.unit_id FROM public.fleet_unitchain AS chain
             WHERE chain.unit_id IN (SELECT entry.unit_id FROM public.fleet_historyentry AS entry
                                      WHERE entry.id = ANY (entries))
             ORDER BY chain.unit_id
               FOR NO KEY UPDATE SKIP LOCKED) AS locked;
    INSERT INTO public.fleet_deletion (id, what, record, entry_id, unit_id, unit_name, subject, event, record_kind,
                                       retained_until, rule, source, content_hash, deleted_at, run)
    SELECT gen_random_uuid(), due.what, due.record, due.record, due.unit, due.unit_name, due.subject, due.event,
           due.record_kind, due.retained_until, rule, source, due.content_hash, now(), run
      FROM public.purge_due_history(today, entries, NULL) AS due
     WHERE due.unit = ANY (units) AND due.record_kind = kind
        ON CONFLICT DO NOTHING;
    DELETE FROM public.fleet_historycontent AS content
     USING public.fleet_deletion AS deletion
     WHERE deletion.entry_id = content.entry_id AND deletion.entry_id = ANY (entries)
       AND deletion.run = purge_history_content.run;
    GET DIAGNOSTICS removed = ROW_COUNT;
    RETURN removed;
END $function$;
CREATE OR REPLACE FUNCTION public.purge_scans(kind text, documents uuid[], today date, run uuid, rule text, source text)
 RETURNS integer
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
DECLARE
    units uuid[];
    files text[];
BEGIN
    PERFORM public.refuse_untimely_purge(today);
    SELECT array_agg(locked.unit_id) INTO units
      FROM (SELECT chain.unit_id FROM public.fleet_unitchain AS chain
             WHERE chain.unit_id IN (SELECT document.unit_id FROM public.fleet_document AS document
                                      WHERE document.id = ANY (documents))
             ORDER BY chain.unit_id
               FOR NO KEY UPDATE SKIP LOCKED) AS locked;
    WITH gone AS (
        INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind,
                                           retained_until, rule, source, content_hash, deleted_at, run)
        SELECT gen_random_uuid(), due.what, due.record, due.unit, due.unit_name, due.subject, due.event,
               due.record_kind, due.retained_until, rule, source, due.content_hash, now(), run
          FROM public.purge_due_scans(today, documents, NULL) AS due
         WHERE due.record_kind = kind AND (due.unit IS NULL OR due.unit = ANY (units))
            ON CONFLICT DO NOTHING
        RETURNING content_hash
    )
    SELECT array_agg(content_hash) INTO files FROM gone;
    PERFORM public.request_file_removal(files);
    RETURN coalesce(cardinality(files), 0);
END $function$;
CREATE OR REPLACE FUNCTION public.purge_set_dates(entries uuid[], kinds text[], days date[])
 RETURNS integer
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
DECLARE
    dated integer;
BEGIN
    UPDATE public.fleet_historycontent AS content
       SET record_kind = given.kind, retained_until = given.day
      FROM unnest(entries, kinds, days) AS given (entry, kind, day)
     WHERE content.entry_id = given.entry AND content.record_kind = '' AND content.retained_until IS NULL;
    GET DIAGNOSTICS dated = ROW_COUNT;
    RETURN dated;
END $function$;
CREATE OR REPLACE FUNCTION public.refuse_history_content_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    IF TG_OP = 'DELETE' AND EXISTS (SELECT FROM public.fleet_deletion AS deletion
                                     WHERE deletion.entry_id = OLD.entry_id) THEN
        RETURN OLD;
    END IF;
    IF TG_OP = 'UPDATE' AND NEW.record_kind <> '' AND (OLD.retained_until IS NULL OR NEW.retained_until >= OLD.retained_until)
       AND (NEW.entry_id, NEW.salt, NEW.body) = (OLD.entry_id, OLD.salt, OLD.body) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'fleet_historycontent is append-only' USING ERRCODE = 'restrict_violation';
END $function$;
CREATE OR REPLACE FUNCTION public.request_file_removal(files text[])
 RETURNS void
 LANGUAGE sql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    INSERT INTO public.fleet_fileremoval (file_id, requested_at)
    SELECT DISTINCT file, now() FROM unnest(files) AS file
        ON CONFLICT (file_id) DO UPDATE SET requested_at = excluded.requested_at, done_at = NULL $function$;
"""
AS_THEY_READ_BEFORE = """
CREATE OR REPLACE FUNCTION public.purge_due_history(today date, among uuid[], at_most integer)
 RETURNS TABLE(what text, record uuid, unit uuid, unit_name text, subject uuid, event text, record_kind text, kept_until date, content_hash text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT 'history_content', past.id, past.unit_id, past.unit_name, past.subject, past.kind, past.record_kind,
           past.until, encode(past.content_hash, 'hex')
      FROM (SELECT entry.id, entry.unit_id, entry.subject, entry.kind, entry.content_hash, content.record_kind,
                   unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END || unit.owner AS unit_name,
                   public.kept_until(content.record_kind, content.keep_until, unit.retired_on) AS until
              FROM public.fleet_historycontent AS content
              JOIN public.fleet_historyentry AS entry ON entry.id = content.entry_id
              JOIN public.fleet_unit AS unit ON unit.id = entry.unit_id
             WHERE content.entry_id = ANY (coalesce(among, ARRAY(
                       SELECT old.entry_id
                         FROM public.fleet_historycontent AS old
                         JOIN public.fleet_historyentry AS link ON link.id = old.entry_id
                        WHERE old.keep_until < today
                          AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                                           WHERE hold.unit_id = link.unit_id AND hold.lifted_at IS NULL)
                        ORDER BY old.keep_until, old.entry_id
                        LIMIT 100000)))
               AND content.keep_until < today
               AND entry.recorded_at < today - interval '3 months'
               AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                                WHERE hold.unit_id = entry.unit_id AND hold.lifted_at IS NULL)
             ORDER BY content.keep_until, content.entry_id
            OFFSET 0) AS past
     WHERE past.until < today
       AND NOT public.kept_for_repair(past.id, today)
     LIMIT at_most $function$;
CREATE OR REPLACE FUNCTION public.purge_due_scans(today date, among uuid[], at_most integer)
 RETURNS TABLE(what text, record uuid, unit uuid, unit_name text, subject uuid, event text, record_kind text, kept_until date, content_hash text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT 'scan', paper.id, paper.unit_id,
           coalesce(unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END || unit.owner, ''),
           coalesce(paper.unit_id, paper.person_id), '', paper.scan_record_kind,
           public.kept_until('maintenance', paper.scan_kept_until, unit.retired_on), paper.file_id
      FROM public.fleet_document AS paper
      LEFT JOIN public.fleet_unit AS unit ON unit.id = paper.unit_id
     WHERE paper.replaced_at IS NOT NULL AND paper.file_id IS NOT NULL
       AND paper.scan_kept_until < today
       AND (among IS NULL OR paper.id = ANY (among))
       AND paper.recorded_at < today - interval '1 year' AND paper.replaced_at < today
       AND public.kept_until('maintenance', paper.scan_kept_until, unit.retired_on) < today
       AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                        WHERE hold.unit_id = paper.unit_id AND hold.lifted_at IS NULL)
       AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion
                        WHERE deletion.what = 'scan' AND deletion.record = paper.id)
     ORDER BY paper.scan_kept_until, paper.id
     LIMIT at_most $function$;
CREATE OR REPLACE FUNCTION public.purge_history_content(kind text, entries uuid[], today date, sweep uuid, rule text, source text)
 RETURNS integer
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
DECLARE
    units uuid[];
    removed integer;
BEGIN
    PERFORM public.refuse_untimely_purge(today);
    SELECT array_agg(locked.unit_id) INTO units
      FROM (SELECT chain.unit_id FROM public.fleet_unitchain AS chain
             WHERE chain.unit_id IN (SELECT entry.unit_id FROM public.fleet_historyentry AS entry
                                      WHERE entry.id = ANY (entries))
             ORDER BY chain.unit_id
               FOR NO KEY UPDATE SKIP LOCKED) AS locked;
    INSERT INTO public.fleet_deletion (id, what, record, entry_id, unit_id, unit_name, subject, event, record_kind,
                                       kept_until, rule, source, content_hash, deleted_at, sweep)
    SELECT gen_random_uuid(), due.what, due.record, due.record, due.unit, due.unit_name, due.subject, due.event,
           due.record_kind, due.kept_until, rule, source, due.content_hash, now(), sweep
      FROM public.purge_due_history(today, entries, NULL) AS due
     WHERE due.unit = ANY (units) AND due.record_kind = kind
        ON CONFLICT DO NOTHING;
    DELETE FROM public.fleet_historycontent AS content
     USING public.fleet_deletion AS deletion
     WHERE deletion.entry_id = content.entry_id AND deletion.entry_id = ANY (entries)
       AND deletion.sweep = purge_history_content.sweep;
    GET DIAGNOSTICS removed = ROW_COUNT;
    RETURN removed;
END $function$;
CREATE OR REPLACE FUNCTION public.purge_scans(kind text, papers uuid[], today date, sweep uuid, rule text, source text)
 RETURNS integer
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
DECLARE
    units uuid[];
    files text[];
BEGIN
    PERFORM public.refuse_untimely_purge(today);
    SELECT array_agg(locked.unit_id) INTO units
      FROM (SELECT chain.unit_id FROM public.fleet_unitchain AS chain
             WHERE chain.unit_id IN (SELECT paper.unit_id FROM public.fleet_document AS paper
                                      WHERE paper.id = ANY (papers))
             ORDER BY chain.unit_id
               FOR NO KEY UPDATE SKIP LOCKED) AS locked;
    WITH gone AS (
        INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind,
                                           kept_until, rule, source, content_hash, deleted_at, sweep)
        SELECT gen_random_uuid(), due.what, due.record, due.unit, due.unit_name, due.subject, due.event,
               due.record_kind, due.kept_until, rule, source, due.content_hash, now(), sweep
          FROM public.purge_due_scans(today, papers, NULL) AS due
         WHERE due.record_kind = kind AND (due.unit IS NULL OR due.unit = ANY (units))
            ON CONFLICT DO NOTHING
        RETURNING content_hash
    )
    SELECT array_agg(content_hash) INTO files FROM gone;
    PERFORM public.ask_for_file_removal(files);
    RETURN coalesce(cardinality(files), 0);
END $function$;
CREATE OR REPLACE FUNCTION public.purge_set_dates(entries uuid[], kinds text[], days date[])
 RETURNS integer
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
DECLARE
    dated integer;
BEGIN
    UPDATE public.fleet_historycontent AS content
       SET record_kind = given.kind, keep_until = given.day
      FROM unnest(entries, kinds, days) AS given (entry, kind, day)
     WHERE content.entry_id = given.entry AND content.record_kind = '' AND content.keep_until IS NULL;
    GET DIAGNOSTICS dated = ROW_COUNT;
    RETURN dated;
END $function$;
CREATE OR REPLACE FUNCTION public.refuse_history_content_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    IF TG_OP = 'DELETE' AND EXISTS (SELECT FROM public.fleet_deletion AS deletion
                                     WHERE deletion.entry_id = OLD.entry_id) THEN
        RETURN OLD;
    END IF;
    IF TG_OP = 'UPDATE' AND NEW.record_kind <> '' AND (OLD.keep_until IS NULL OR NEW.keep_until >= OLD.keep_until)
       AND (NEW.entry_id, NEW.salt, NEW.body) = (OLD.entry_id, OLD.salt, OLD.body) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'fleet_historycontent is append-only' USING ERRCODE = 'restrict_violation';
END $function$;
CREATE OR REPLACE FUNCTION public.ask_for_file_removal(files text[])
 RETURNS void
 LANGUAGE sql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    INSERT INTO public.fleet_fileremoval (file_id, asked_at)
    SELECT DISTINCT file, now() FROM unnest(files) AS file
        ON CONFLICT (file_id) DO UPDATE SET asked_at = excluded.asked_at, done_at = NULL $function$;
"""
JOBS = {
    "sweep_notices": "escalate_notifications",
    "deliver_notices": "deliver_notifications",
    "remind_of_papers": "remind_of_documents",
    "tell_flipped": "notify_of_changes",
}
RENAMED = "UPDATE fleet_jobrun SET name = '{new}' WHERE name = '{old}';"


class Migration(migrations.Migration):
    dependencies = [("fleet", "0037_names_of_the_glossary")]

    operations = [
        migrations.RemoveConstraint(
            model_name="document",
            name="document_one_current",
        ),
        migrations.RemoveConstraint(
            model_name="skippedrecord",
            name="passed_over_once",
        ),
        migrations.RemoveIndex(
            model_name="delivery",
            name="delivery_owed_by_time",
        ),
        migrations.RemoveIndex(
            model_name="document",
            name="document_by_end",
        ),
        migrations.RemoveIndex(
            model_name="document",
            name="document_scan_to_delete",
        ),
        migrations.RemoveIndex(
            model_name="fileremoval",
            name="file_removal_owed",
        ),
        migrations.RemoveIndex(
            model_name="historycontent",
            name="content_by_keep_until",
        ),
        migrations.RemoveIndex(
            model_name="notification",
            name="notice_person_newest",
        ),
        migrations.RemoveIndex(
            model_name="notification",
            name="notice_to_escalate",
        ),
        migrations.RemoveIndex(
            model_name="notification",
            name="notice_paper_to_escalate",
        ),
        migrations.RunSQL(GIVE_NEW_NAMES, AS_THEY_READ_BEFORE),
        migrations.RenameField("notification", "owed_at", "created_at"),
        migrations.RenameField("delivery", "owed_at", "created_at"),
        migrations.RenameField("delivery", "notices", "notifications"),
        migrations.RenameField("document", "replaced_at", "superseded_at"),
        migrations.RenameField("document", "replaced_by", "superseded_by"),
        migrations.RenameField("document", "scan_kept_until", "scan_retained_until"),
        migrations.RenameField("skippedrecord", "sweep", "job"),
        migrations.RenameField("deletion", "sweep", "run"),
        migrations.RenameField("deletion", "kept_until", "retained_until"),
        migrations.RenameField("historycontent", "keep_until", "retained_until"),
        migrations.RenameField("fileremoval", "asked_at", "requested_at"),
        migrations.RenameField("meterreading", "query", "flag"),
        migrations.RunSQL(AS_THEY_READ_NOW, GIVE_OLD_NAMES),
        migrations.RunSQL(
            "UPDATE fleet_delivery SET state = 'pending' WHERE state = 'owed';",
            "UPDATE fleet_delivery SET state = 'owed' WHERE state = 'pending';",
        ),
        migrations.RunSQL(
            "".join(RENAMED.format(old=old, new=new) for old, new in JOBS.items()),
            "".join(RENAMED.format(old=new, new=old) for old, new in JOBS.items()),
        ),
        migrations.RunSQL("DELETE FROM fleet_skippedrecord;", migrations.RunSQL.noop),
    ]
