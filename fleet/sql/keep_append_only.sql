CREATE OR REPLACE FUNCTION public.keep_append_only(target regclass)
 RETURNS void
 LANGUAGE plpgsql
AS $function$
BEGIN
    EXECUTE format('CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON %s '
                   'FOR EACH ROW EXECUTE FUNCTION refuse_change()', target);
    EXECUTE format('CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON %s '
                   'FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()', target);
END $function$;
