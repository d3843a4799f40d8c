"""The functions that delete what is past its days of keeping, and the triggers that let nothing else do it."""

from django.db import migrations

LEGAL_HOLD = """
CREATE FUNCTION refuse_legal_hold_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'UPDATE' AND OLD.lifted_at IS NULL AND NEW.lifted_at IS NOT NULL
       AND (to_jsonb(NEW) - ARRAY['lifted_at', 'lifted_by_id', 'lift_reason'])
         = (to_jsonb(OLD) - ARRAY['lifted_at', 'lifted_by_id', 'lift_reason']) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'a legal hold is lifted once and changed in nothing else' USING ERRCODE = 'restrict_violation';
END $$;
CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON fleet_legalhold
    FOR EACH ROW EXECUTE FUNCTION refuse_legal_hold_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON fleet_legalhold
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
"""

LEGAL_HOLD_BACK = """
DROP TRIGGER append_only ON fleet_legalhold;
DROP TRIGGER append_only_whole ON fleet_legalhold;
DROP FUNCTION refuse_legal_hold_change();
"""

# What an entry said may be removed once its deletion is on record, and its day of keeping may only move outward.
CONTENT = """
CREATE OR REPLACE FUNCTION refuse_history_content_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'DELETE' AND EXISTS (SELECT FROM public.fleet_deletion AS deletion
                                     WHERE deletion.entry_id = OLD.entry_id) THEN
        RETURN OLD;
    END IF;
    IF TG_OP = 'UPDATE' AND NEW.record_kind <> '' AND (OLD.keep_until IS NULL OR NEW.keep_until >= OLD.keep_until)
       AND (NEW.entry_id, NEW.salt, NEW.body) = (OLD.entry_id, OLD.salt, OLD.body) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'fleet_historycontent is append-only' USING ERRCODE = 'restrict_violation';
END $$;
"""

CONTENT_BACK = """
CREATE OR REPLACE FUNCTION refuse_history_content_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF TG_OP = 'DELETE' AND current_setting('fleet.purging', true) = OLD.entry_id::text THEN
        RETURN OLD;
    END IF;
    RAISE EXCEPTION 'fleet_historycontent is append-only' USING ERRCODE = 'restrict_violation';
END $$;
"""

CONDITIONS = """
-- Whether a record is still wanted because of a repair. Fleet knows of none: the app that does replaces the body.
CREATE FUNCTION kept_for_repair(entry uuid, today date) RETURNS boolean
    LANGUAGE sql STABLE SET search_path = pg_catalog, pg_temp AS 'SELECT false';

-- The last day of keeping of one record: as stored, or six months after the unit left where 396.3(c) wants that too.
CREATE FUNCTION kept_until(record_kind text, stored date, left_control_on date) RETURNS date
    LANGUAGE sql IMMUTABLE SET search_path = pg_catalog, pg_temp AS $$
    SELECT CASE WHEN record_kind = 'maintenance'
                THEN greatest(stored, (left_control_on + interval '6 months')::date) ELSE stored END $$;

-- A purge looks at what is committed now, on a day that has come: in an older snapshot it would miss a legal hold.
CREATE FUNCTION refuse_untimely_purge(today date) RETURNS void
    LANGUAGE plpgsql SET search_path = pg_catalog, pg_temp AS $$
BEGIN
    IF today > current_date THEN
        RAISE EXCEPTION 'a purge cannot run ahead of the clock' USING ERRCODE = 'check_violation';
    END IF;
    IF current_setting('transaction_isolation') <> 'read committed' THEN
        RAISE EXCEPTION 'a purge runs in a transaction that reads what is committed' USING ERRCODE = 'check_violation';
    END IF;
END $$;
"""

CONDITIONS_BACK = """
DROP FUNCTION refuse_untimely_purge(date);
DROP FUNCTION kept_until(text, date, date);
DROP FUNCTION kept_for_repair(uuid, date);
"""

PURGE = """
DROP FUNCTION purge_history_content(uuid, date);

-- What entries said that is past its day on `today`: not frozen, not wanted for a repair, and never what was recorded
-- within three months, the shortest time that any rule asks for. Of `among` those, or of all when it is null.
CREATE FUNCTION purge_due_history(today date, among uuid[], at_most integer)
    RETURNS TABLE (what text, record uuid, unit uuid, unit_name text, subject uuid, event text,
                   record_kind text, kept_until date, content_hash text)
    LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT 'history_content', entry.id, entry.unit_id, unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END
           || unit.owner, entry.subject, entry.kind, content.record_kind,
           public.kept_until(content.record_kind, content.keep_until, unit.retired_on),
           encode(entry.content_hash, 'hex')
      FROM public.fleet_historycontent AS content
      JOIN public.fleet_historyentry AS entry ON entry.id = content.entry_id
      JOIN public.fleet_unit AS unit ON unit.id = entry.unit_id
     WHERE content.keep_until < today
       AND (among IS NULL OR content.entry_id = ANY (among))
       AND entry.recorded_at < today - interval '3 months'
       AND public.kept_until(content.record_kind, content.keep_until, unit.retired_on) < today
       AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                        WHERE hold.unit_id = entry.unit_id AND hold.lifted_at IS NULL)
       AND NOT public.kept_for_repair(entry.id, today)
     ORDER BY content.keep_until, content.entry_id
     LIMIT at_most $$;

-- Deletes what these entries said, where it is due and of this record kind, and writes it into the deletion records;
-- returns how many there were. Whoever writes about a unit, or freezes it, holds its chain row: those are passed over.
CREATE FUNCTION purge_history_content(kind text, entries uuid[], today date, sweep uuid, rule text, source text)
    RETURNS integer LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
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
                                       kept_until, rule, source, content_hash, deleted_at, sweep)
    SELECT gen_random_uuid(), due.what, due.record, due.record, due.unit, due.unit_name, due.subject, due.event,
           due.record_kind, due.kept_until, rule, source, due.content_hash, now(), sweep
      FROM public.purge_due_history(today, entries, NULL) AS due
     WHERE due.unit = ANY (units) AND due.record_kind = kind
        ON CONFLICT DO NOTHING;
    DELETE FROM public.fleet_historycontent AS content
     USING public.fleet_deletion AS deletion
     WHERE deletion.entry_id = content.entry_id AND deletion.entry_id = ANY (entries)
       AND deletion.sweep = purge_history_content.sweep;
    GET DIAGNOSTICS removed = ROW_COUNT;
    RETURN removed;
END $$;

-- What was written before record kinds were: their words, so that the rules can say how long they are kept.
CREATE FUNCTION purge_undated(at_most integer)
    RETURNS TABLE (entry uuid, event text, performed_at timestamptz, recorded_at timestamptz, body text)
    LANGUAGE sql STABLE SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
    SELECT entry.id, entry.kind, entry.performed_at, entry.recorded_at, content.body
      FROM public.fleet_historycontent AS content
      JOIN public.fleet_historyentry AS entry ON entry.id = content.entry_id
     WHERE content.record_kind = ''
     ORDER BY content.entry_id
     LIMIT at_most $$;

-- Gives those a record kind and a day; one that has either is left as it is. Returns how many were given one.
CREATE FUNCTION purge_set_dates(entries uuid[], kinds text[], days date[]) RETURNS integer
    LANGUAGE plpgsql SECURITY DEFINER SET search_path = pg_catalog, pg_temp AS $$
DECLARE
    dated integer;
BEGIN
    UPDATE public.fleet_historycontent AS content
       SET record_kind = given.kind, keep_until = given.day
      FROM unnest(entries, kinds, days) AS given (entry, kind, day)
     WHERE content.entry_id = given.entry AND content.record_kind = '' AND content.keep_until IS NULL;
    GET DIAGNOSTICS dated = ROW_COUNT;
    RETURN dated;
END $$;

REVOKE ALL ON FUNCTION purge_due_history(date, uuid[], integer) FROM PUBLIC;
REVOKE ALL ON FUNCTION purge_history_content(text, uuid[], date, uuid, text, text) FROM PUBLIC;
REVOKE ALL ON FUNCTION purge_undated(integer) FROM PUBLIC;
REVOKE ALL ON FUNCTION purge_set_dates(uuid[], text[], date[]) FROM PUBLIC;
"""

PURGE_BACK = """
DROP FUNCTION purge_set_dates(uuid[], text[], date[]);
DROP FUNCTION purge_undated(integer);
DROP FUNCTION purge_history_content(text, uuid[], date, uuid, text, text);
DROP FUNCTION purge_due_history(date, uuid[], integer);

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


class Migration(migrations.Migration):
    dependencies = [("fleet", "0007_keeping")]

    operations = [
        migrations.RunSQL(LEGAL_HOLD, LEGAL_HOLD_BACK),
        migrations.RunSQL(
            "SELECT keep_append_only('fleet_deletion')",
            "DROP TRIGGER append_only ON fleet_deletion; DROP TRIGGER append_only_whole ON fleet_deletion;",
        ),
        migrations.RunSQL(CONTENT, CONTENT_BACK),
        migrations.RunSQL(CONDITIONS, CONDITIONS_BACK),
        migrations.RunSQL(PURGE, PURGE_BACK),
    ]
