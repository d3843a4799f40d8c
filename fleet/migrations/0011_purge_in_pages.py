"""The list of what is past its days, fast for many records: the dear question is asked of a page of them at a time."""

from django.db import migrations

# The same list in the same order. Cheap conditions come first, behind a fence (OFFSET 0); whether a repair still wants
# a record is asked only until the page is full. Named records are found by their keys.
IN_PAGES = """
CREATE OR REPLACE FUNCTION purge_due_history(today date, among uuid[], at_most integer)
    RETURNS TABLE (what text, record uuid, unit uuid, unit_name text, subject uuid, event text,
                   record_kind text, kept_until date, content_hash text)
    LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
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
     LIMIT at_most $$;
"""

AT_ONCE = """
CREATE OR REPLACE FUNCTION purge_due_history(today date, among uuid[], at_most integer)
    RETURNS TABLE (what text, record uuid, unit uuid, unit_name text, subject uuid, event text,
                   record_kind text, kept_until date, content_hash text)
    LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT 'history_content', entry.id, entry.unit_id, unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END
           || unit.owner, entry.subject, entry.kind, content.record_kind,
           public.kept_until(content.record_kind, content.keep_until, unit.retired_on),
           encode(entry.content_hash, 'hex')
      FROM public.fleet_historycontent AS content
      JOIN public.fleet_historyentry AS entry ON entry.id = content.entry_id
      JOIN public.fleet_unit AS unit ON unit.id = entry.unit_id
     WHERE content.keep_until < today
       AND (among IS NULL OR content.entry_id = ANY (among))
       AND entry.recorded_at < today - interval '3 months'
       AND public.kept_until(content.record_kind, content.keep_until, unit.retired_on) < today
       AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                        WHERE hold.unit_id = entry.unit_id AND hold.lifted_at IS NULL)
       AND NOT public.kept_for_repair(entry.id, today)
     ORDER BY content.keep_until, content.entry_id
     LIMIT at_most $$;
"""


class Migration(migrations.Migration):
    dependencies = [("fleet", "0010_purge_scans")]

    operations = [migrations.RunSQL(IN_PAGES, AT_ONCE)]
