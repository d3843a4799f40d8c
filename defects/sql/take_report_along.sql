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

CREATE TRIGGER take_report_along AFTER INSERT ON public.fleet_deletion FOR EACH ROW WHEN ((((new.what)::text = 'history_content'::text) AND ((new.event)::text = 'report_signed'::text))) EXECUTE FUNCTION take_report_along();
