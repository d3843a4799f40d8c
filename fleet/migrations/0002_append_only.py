"""Tables that the database itself keeps append-only, and the one function that may remove history's content."""

from django.db import migrations

APPEND_ONLY = ("fleet_signature", "fleet_historyentry", "fleet_policy")

FUNCTIONS = """
CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $$;

CREATE FUNCTION keep_append_only(target regclass) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
    EXECUTE format('CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON %s '
                   'FOR EACH ROW EXECUTE FUNCTION refuse_change()', target);
    EXECUTE format('CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON %s '
                   'FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()', target);
END $$;

CREATE FUNCTION refuse_history_content_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'DELETE' AND current_setting('fleet.purging', true) = OLD.entry_id::text THEN
        RETURN OLD;
    END IF;
    RAISE EXCEPTION 'fleet_historycontent is append-only' USING ERRCODE = 'restrict_violation';
END $$;

CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON fleet_historycontent
    FOR EACH ROW EXECUTE FUNCTION refuse_history_content_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON fleet_historycontent
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();

-- Removes what one entry said, never the entry. True when removed; false while its date has not passed, it has no
-- date, or a legal hold stands on its unit. It runs with its owner's rights; the web role may not delete by itself.
CREATE FUNCTION purge_history_content(entry uuid, today date) RETURNS boolean
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
    removed integer;
BEGIN
    IF today > current_date THEN
        RAISE EXCEPTION 'a purge cannot run ahead of the clock' USING ERRCODE = 'check_violation';
    END IF;
    PERFORM set_config('fleet.purging', entry::text, true);
    DELETE FROM public.fleet_historycontent AS content
     USING public.fleet_historyentry AS link
     WHERE content.entry_id = entry AND link.id = entry
       AND content.keep_until < today
       AND NOT EXISTS (SELECT 1 FROM public.fleet_legalhold AS hold
                        WHERE hold.unit_id = link.unit_id AND hold.lifted_at IS NULL);
    GET DIAGNOSTICS removed = ROW_COUNT;
    PERFORM set_config('fleet.purging', '', true);
    RETURN removed = 1;
END $$;
REVOKE ALL ON FUNCTION purge_history_content(uuid, date) FROM PUBLIC;
"""

FUNCTIONS_BACK = """
DROP FUNCTION purge_history_content(uuid, date);
DROP TRIGGER append_only ON fleet_historycontent;
DROP TRIGGER append_only_whole ON fleet_historycontent;
DROP FUNCTION refuse_history_content_change();
DROP FUNCTION keep_append_only(regclass);
DROP FUNCTION refuse_change();
"""


class Migration(migrations.Migration):
    dependencies = [("fleet", "0001_tables")]

    operations = [
        migrations.RunSQL(FUNCTIONS, FUNCTIONS_BACK),
        *[
            migrations.RunSQL(
                f"SELECT keep_append_only('{table}')",
                f"DROP TRIGGER append_only ON {table}; DROP TRIGGER append_only_whole ON {table};",
            )
            for table in APPEND_ONLY
        ],
    ]
