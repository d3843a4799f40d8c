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
