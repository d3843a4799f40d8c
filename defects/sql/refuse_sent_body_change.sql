CREATE OR REPLACE FUNCTION public.refuse_sent_body_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    IF TG_OP = 'UPDATE' AND (to_jsonb(NEW) - 'text') = (to_jsonb(OLD) - 'text') AND NEW.text = ''
       AND EXISTS (SELECT FROM public.defects_report AS report WHERE report.walkaround_id = OLD.id)
       AND NOT EXISTS (SELECT FROM public.defects_report AS report
                        WHERE report.walkaround_id = OLD.id AND report.unit_id IS NOT NULL
                          AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion
                                           WHERE deletion.what = 'report_checks' AND deletion.record = report.id)) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'defects_sentbody is append-only' USING ERRCODE = 'restrict_violation';
END $function$;

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.defects_sentbody FOR EACH ROW EXECUTE FUNCTION refuse_sent_body_change();
