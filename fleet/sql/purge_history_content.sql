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
