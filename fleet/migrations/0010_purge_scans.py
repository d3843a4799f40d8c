"""The functions that let the scan of a replaced paper go, and the one that asks for a file's bytes to be removed."""

from django.db import migrations

SCANS = """
CREATE FUNCTION ask_for_file_removal(files text[]) RETURNS void
    LANGUAGE sql SET search_path = pg_catalog, pg_temp AS $$
    INSERT INTO public.fleet_fileremoval (file_id, asked_at)
    SELECT DISTINCT file, now() FROM unnest(files) AS file
        ON CONFLICT (file_id) DO UPDATE SET asked_at = excluded.asked_at, done_at = NULL $$;

-- Scans of papers that were replaced, past their day on `today`, of no frozen unit and six months after their unit
-- left; never of what was recorded within a year.
CREATE FUNCTION purge_due_scans(today date, among uuid[], at_most integer)
    RETURNS TABLE (what text, record uuid, unit uuid, unit_name text, subject uuid, event text,
                   record_kind text, kept_until date, content_hash text)
    LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
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
     LIMIT at_most $$;

-- Writes the deletion records of these scans and asks for their bytes to be removed; the paper's row stays.
CREATE FUNCTION purge_scans(kind text, papers uuid[], today date, sweep uuid, rule text, source text)
    RETURNS integer LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
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
END $$;
REVOKE ALL ON FUNCTION ask_for_file_removal(text[]) FROM PUBLIC;
REVOKE ALL ON FUNCTION purge_due_scans(date, uuid[], integer) FROM PUBLIC;
REVOKE ALL ON FUNCTION purge_scans(text, uuid[], date, uuid, text, text) FROM PUBLIC;
"""

SCANS_BACK = """
DROP FUNCTION purge_scans(text, uuid[], date, uuid, text, text);
DROP FUNCTION purge_due_scans(date, uuid[], integer);
DROP FUNCTION ask_for_file_removal(text[]);
"""


class Migration(migrations.Migration):
    dependencies = [("fleet", "0009_file_removals")]

    operations = [migrations.RunSQL(SCANS, SCANS_BACK)]
