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
