CREATE OR REPLACE FUNCTION public.purge_undated(at_most integer)
 RETURNS TABLE(entry uuid, event text, performed_at timestamp with time zone, recorded_at timestamp with time zone, body text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT entry.id, entry.kind, entry.performed_at, entry.recorded_at, content.body
      FROM public.fleet_historycontent AS content
      JOIN public.fleet_historyentry AS entry ON entry.id = content.entry_id
     WHERE content.record_kind = ''
     ORDER BY content.entry_id
     LIMIT at_most $function$;
