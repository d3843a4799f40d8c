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

CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON public.fleet_historycontent FOR EACH ROW EXECUTE FUNCTION refuse_history_content_change();
