"""What the carrier owns: every table of the app, with its functions and triggers."""

import common.ids
import django.contrib.postgres.constraints
import django.contrib.postgres.fields.ranges
import django.db.models.deletion
import django.db.models.functions.datetime
import django.db.models.functions.text
import fleet.models.documents
from django.conf import settings
from django.contrib.postgres.operations import BtreeGistExtension
from django.db import migrations, models


FUNCTIONS = r"""
-- Some read tables of the apps above, which come later.
SET LOCAL check_function_bodies = off;

CREATE OR REPLACE FUNCTION keep_append_only(target regclass)
 RETURNS void
 LANGUAGE plpgsql
AS $function$
BEGIN
    EXECUTE format('CREATE TRIGGER append_only BEFORE UPDATE OR DELETE ON %s '
                   'FOR EACH ROW EXECUTE FUNCTION refuse_change()', target);
    EXECUTE format('CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON %s '
                   'FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()', target);
END $function$;

CREATE OR REPLACE FUNCTION needed_for_repair(entry uuid, today date)
 RETURNS boolean
 LANGUAGE sql
 STABLE
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    WITH link AS (SELECT id, subject FROM public.fleet_historyentry WHERE id = entry AND subject IS NOT NULL),
    reports AS (
        SELECT report.id FROM link JOIN public.defects_report AS report ON report.id = link.subject
        UNION
        SELECT report.id FROM link
          JOIN public.defects_photo AS photo ON photo.id = link.subject
          JOIN public.defects_report AS report ON report.walkaround_id = photo.walkaround_id
        UNION
        SELECT review.report_id FROM link
          JOIN public.defects_driverreview_reports AS review ON review.driverreview_id = link.subject
    ),
    concerned AS (
        SELECT defect.id FROM link JOIN public.defects_defect AS defect ON defect.id = link.subject
        UNION
        SELECT defect.id FROM link JOIN public.defects_defect AS defect ON defect.order_id = link.subject
        UNION
        SELECT defect.id FROM reports JOIN public.defects_defect AS defect ON defect.report_id = reports.id
        UNION
        SELECT seen.defect_id FROM reports JOIN public.defects_sighting AS seen ON seen.report_id = reports.id
        UNION
        SELECT photo.defect_id FROM link JOIN public.defects_photo AS photo ON photo.id = link.subject
         WHERE photo.defect_id IS NOT NULL
        UNION
        SELECT hold.defect_id FROM link JOIN public.defects_hold AS hold ON hold.id = link.subject
         WHERE hold.defect_id IS NOT NULL
        UNION
        SELECT certificate.defect_id FROM link
          JOIN public.defects_driverreview_certificates AS review ON review.driverreview_id = link.subject
          JOIN public.defects_certificate AS certificate ON certificate.id = review.certificate_id
    )
    SELECT EXISTS (SELECT FROM link JOIN public.defects_hold AS hold ON hold.id = link.subject
                    WHERE hold.lifted_at IS NULL)
        -- A photo that a certificate of the last year names is what proves it.
        OR EXISTS (SELECT FROM link
                     JOIN public.defects_photo AS photo ON photo.id = link.subject
                     JOIN public.defects_certificate AS certificate ON certificate.photo_sha256 = photo.original_id
                     JOIN public.defects_defect AS defect ON defect.id = certificate.defect_id
                     JOIN public.fleet_unit AS unit ON unit.id = defect.unit_id
                    WHERE greatest(certificate.certified_at + interval '12 months',
                                   unit.retired_on + interval '6 months') >= today)
        OR EXISTS (SELECT FROM concerned
                     JOIN public.defects_defect AS defect ON defect.id = concerned.id
                    WHERE defect.state NOT IN ('closed', 'entered_in_error')
                       OR (EXISTS (SELECT FROM public.defects_certificate AS certificate
                                     JOIN public.fleet_unit AS unit ON unit.id = defect.unit_id
                                    WHERE certificate.defect_id = defect.id
                                      AND greatest(
                                              (certificate.certified_at AT TIME ZONE coalesce(
                                                  (SELECT time_zone FROM public.fleet_carrier LIMIT 1), 'UTC'))::date
                                              + interval '12 months',
                                              unit.retired_on + interval '6 months') >= today)
                           AND NOT EXISTS (SELECT FROM public.fleet_historyentry AS other
                                             JOIN public.fleet_historycontent AS content ON content.entry_id = other.id
                                            WHERE other.subject = defect.id AND other.id <> entry
                                              AND other.kind IN ('certificate_signed',
                                                                 'fault_corrected_on_the_spot')))) $function$;

CREATE OR REPLACE FUNCTION purge_due_history(today date, among uuid[], at_most integer)
 RETURNS TABLE(what text, record uuid, unit uuid, unit_name text, subject uuid, event text, record_kind text, retained_until date, content_hash text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT 'history_content', past.id, past.unit_id, past.unit_name, past.subject, past.kind, past.record_kind,
           past.until, encode(past.content_hash, 'hex')
      FROM (SELECT entry.id, entry.unit_id, entry.subject, entry.kind, entry.content_hash, content.record_kind,
                   unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END || unit.owner AS unit_name,
                   public.retained_until(content.record_kind, content.retained_until, unit.retired_on) AS until
              FROM public.fleet_historycontent AS content
              JOIN public.fleet_historyentry AS entry ON entry.id = content.entry_id
              JOIN public.fleet_unit AS unit ON unit.id = entry.unit_id
             WHERE content.entry_id = ANY (coalesce(among, ARRAY(
                       SELECT old.entry_id
                         FROM public.fleet_historycontent AS old
                         JOIN public.fleet_historyentry AS link ON link.id = old.entry_id
                        WHERE old.retained_until < today
                          AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                                           WHERE hold.unit_id = link.unit_id AND hold.lifted_at IS NULL)
                        ORDER BY old.retained_until, old.entry_id
                        LIMIT 100000)))
               AND content.retained_until < today
               AND entry.recorded_at < today - interval '3 months'
               AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                                WHERE hold.unit_id = entry.unit_id AND hold.lifted_at IS NULL)
             ORDER BY content.retained_until, content.entry_id
            OFFSET 0) AS past
     WHERE past.until < today
       AND NOT public.needed_for_repair(past.id, today)
     LIMIT at_most $function$;

CREATE OR REPLACE FUNCTION purge_due_scans(today date, among uuid[], at_most integer)
 RETURNS TABLE(what text, record uuid, unit uuid, unit_name text, subject uuid, event text, record_kind text, retained_until date, content_hash text)
 LANGUAGE sql
 STABLE SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT 'scan', document.id, document.unit_id,
           coalesce(unit.number || CASE unit.owner WHEN '' THEN '' ELSE '@' END || unit.owner, ''),
           coalesce(document.unit_id, document.person_id), '', document.scan_record_kind,
           public.retained_until('maintenance', document.scan_retained_until, unit.retired_on), document.file_id
      FROM public.fleet_document AS document
      LEFT JOIN public.fleet_unit AS unit ON unit.id = document.unit_id
     WHERE document.superseded_at IS NOT NULL AND document.file_id IS NOT NULL
       AND document.scan_retained_until < today
       AND (among IS NULL OR document.id = ANY (among))
       AND document.recorded_at < today - interval '1 year' AND document.superseded_at < today
       AND public.retained_until('maintenance', document.scan_retained_until, unit.retired_on) < today
       AND NOT EXISTS (SELECT FROM public.fleet_legalhold AS hold
                        WHERE hold.unit_id = document.unit_id AND hold.lifted_at IS NULL)
       AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion
                        WHERE deletion.what = 'scan' AND deletion.record = document.id)
     ORDER BY document.scan_retained_until, document.id
     LIMIT at_most $function$;

CREATE OR REPLACE FUNCTION purge_history_content(kind text, entries uuid[], today date, run uuid, rule text, source text)
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

CREATE OR REPLACE FUNCTION purge_scans(kind text, documents uuid[], today date, run uuid, rule text, source text)
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

CREATE OR REPLACE FUNCTION purge_set_dates(entries uuid[], kinds text[], days date[])
 RETURNS integer
 LANGUAGE plpgsql
 SECURITY DEFINER
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
DECLARE
    dated integer;
BEGIN
    UPDATE public.fleet_historycontent AS content
       SET record_kind = given.kind, retained_until = given.day
      FROM unnest(entries, kinds, days) AS given (entry, kind, day)
     WHERE content.entry_id = given.entry AND content.record_kind = '' AND content.retained_until IS NULL;
    GET DIAGNOSTICS dated = ROW_COUNT;
    RETURN dated;
END $function$;

CREATE OR REPLACE FUNCTION purge_undated(at_most integer)
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

CREATE OR REPLACE FUNCTION refuse_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    RAISE EXCEPTION '% is append-only', TG_TABLE_NAME USING ERRCODE = 'restrict_violation';
END $function$;

CREATE OR REPLACE FUNCTION refuse_history_content_change()
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

CREATE OR REPLACE FUNCTION refuse_legal_hold_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    IF TG_OP = 'UPDATE' AND OLD.lifted_at IS NULL AND NEW.lifted_at IS NOT NULL
       AND (to_jsonb(NEW) - ARRAY['lifted_at', 'lifted_by_id', 'lift_reason'])
         = (to_jsonb(OLD) - ARRAY['lifted_at', 'lifted_by_id', 'lift_reason']) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'a legal hold is lifted once and changed in nothing else' USING ERRCODE = 'restrict_violation';
END $function$;

CREATE OR REPLACE FUNCTION refuse_untimely_purge(today date)
 RETURNS void
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    IF today > current_date THEN
        RAISE EXCEPTION 'a purge cannot run ahead of the clock' USING ERRCODE = 'check_violation';
    END IF;
    IF current_setting('transaction_isolation') <> 'read committed' THEN
        RAISE EXCEPTION 'a purge runs in a transaction that reads what is committed' USING ERRCODE = 'check_violation';
    END IF;
END $function$;

CREATE OR REPLACE FUNCTION request_file_removal(files text[])
 RETURNS void
 LANGUAGE sql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    INSERT INTO public.fleet_fileremoval (file_id, requested_at)
    SELECT DISTINCT file, now() FROM unnest(files) AS file
        ON CONFLICT (file_id) DO UPDATE SET requested_at = excluded.requested_at, done_at = NULL $function$;

CREATE OR REPLACE FUNCTION retained_until(record_kind text, stored date, left_control_on date)
 RETURNS date
 LANGUAGE sql
 IMMUTABLE
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
    SELECT CASE WHEN record_kind = 'maintenance'
                THEN greatest(stored, (left_control_on + interval '6 months')::date) ELSE stored END $function$;

REVOKE ALL ON FUNCTION purge_set_dates(entries uuid[], kinds text[], days date[]) FROM PUBLIC;
REVOKE ALL ON FUNCTION purge_undated(at_most integer) FROM PUBLIC;
REVOKE ALL ON FUNCTION request_file_removal(files text[]) FROM PUBLIC;
"""

FUNCTIONS_BACK = """
DROP FUNCTION
    keep_append_only,
    needed_for_repair,
    purge_due_history,
    purge_due_scans,
    purge_history_content,
    purge_scans,
    purge_set_dates,
    purge_undated,
    refuse_change,
    refuse_history_content_change,
    refuse_legal_hold_change,
    refuse_untimely_purge,
    request_file_removal,
    retained_until
CASCADE
"""

TRIGGERS = """
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON fleet_deletion FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON fleet_deletion FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON fleet_historycontent FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON fleet_historyentry FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON fleet_historyentry FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON fleet_legalhold FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON fleet_policy FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON fleet_policy FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON fleet_restore FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON fleet_restore FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON fleet_signature FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON fleet_signature FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON fleet_historycontent FOR EACH ROW EXECUTE FUNCTION refuse_history_content_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON fleet_legalhold FOR EACH ROW EXECUTE FUNCTION refuse_legal_hold_change();
"""


class Migration(migrations.Migration):
    initial = True

    replaces = [
        ("fleet", "0001_tables"),
        ("fleet", "0002_append_only"),
        ("fleet", "0003_refusal_notices"),
        ("fleet", "0004_feed_tokens"),
        ("fleet", "0005_reminders"),
        ("fleet", "0006_parked_deliveries"),
        ("fleet", "0007_keeping"),
        ("fleet", "0008_purge"),
        ("fleet", "0009_file_removals"),
        ("fleet", "0010_purge_scans"),
        ("fleet", "0011_purge_in_pages"),
        ("fleet", "0012_on_call"),
        ("fleet", "0013_webhooks"),
        ("fleet", "0014_queried_inspections"),
        ("fleet", "0015_faults_to_grade"),
        ("fleet", "0016_roles_granted_by_whom"),
        ("fleet", "0017_lifts_elsewhere"),
        ("fleet", "0018_proven_inspectors"),
        ("fleet", "0019_sweep_runs"),
        ("fleet", "0020_firms_to_confirm"),
        ("fleet", "0021_what_limits_hang_on"),
        ("fleet", "0022_when_deliveries_were_owed"),
        ("fleet", "0023_signed_in_another_way"),
        ("fleet", "0024_signed_errors"),
        ("fleet", "0025_work_paused"),
        ("fleet", "0026_passed_over"),
        ("fleet", "0027_faults_before_use"),
        ("fleet", "0028_seal_and_unit_notices"),
        ("fleet", "0029_signed_looks"),
        ("fleet", "0030_signed_setting_aside"),
        ("fleet", "0031_own_passwords"),
        ("fleet", "0032_cause_of_deliveries"),
        ("fleet", "0033_queue_report"),
        ("fleet", "0034_restores"),
        ("fleet", "0035_ends_of_feeds_and_webhooks"),
        ("fleet", "0036_notices_by_cause"),
        ("fleet", "0037_names_of_the_glossary"),
        ("fleet", "0038_columns_of_the_glossary"),
        ("fleet", "0039_indexes_of_the_glossary"),
    ]

    dependencies = []

    operations = [
        BtreeGistExtension(),
        migrations.CreateModel(
            name="Person",
            fields=[
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                ("username", models.CharField(blank=True, max_length=64, null=True, unique=True)),
                ("name", models.CharField(max_length=120)),
                ("title", models.CharField(blank=True, max_length=120)),
                ("firm", models.CharField(blank=True, max_length=120)),
                ("email", models.EmailField(blank=True, max_length=254)),
                ("phone", models.CharField(blank=True, max_length=32)),
                ("language", models.CharField(default="en", max_length=8)),
                ("left_on", models.DateField(blank=True, null=True)),
                ("sign_in_given", models.BooleanField(db_default=False, default=False)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Unit",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "kind",
                    models.CharField(
                        choices=[("tractor", "tractor"), ("trailer", "trailer"), ("cooling_unit", "cooling_unit")],
                        max_length=16,
                    ),
                ),
                ("number", models.CharField(max_length=32)),
                ("owner", models.CharField(blank=True, default="", max_length=120)),
                ("vin", models.CharField(blank=True, default="", max_length=17)),
                ("serial", models.CharField(blank=True, default="", max_length=40)),
                ("make", models.CharField(blank=True, default="", max_length=60)),
                ("model_year", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("tire_size", models.CharField(blank=True, default="", max_length=24)),
                ("plate", models.CharField(blank=True, default="", max_length=16)),
                ("plate_state", models.CharField(blank=True, default="", max_length=2)),
                ("in_control_since", models.DateField(blank=True, null=True)),
                ("retired_on", models.DateField(blank=True, null=True)),
                ("recorded_at", models.DateTimeField()),
            ],
            options={
                "indexes": [models.Index(django.db.models.functions.text.Upper("number"), name="unit_number_upper")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["tractor", "trailer", "cooling_unit"])), name="unit_kind_known"
                    ),
                    models.UniqueConstraint(
                        django.db.models.functions.text.Upper("owner"),
                        django.db.models.functions.text.Upper("number"),
                        condition=models.Q(("retired_on__isnull", True)),
                        name="unit_owner_number_unique",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("retired_on__isnull", True), models.Q(("vin", ""), _negated=True)),
                        fields=("vin",),
                        name="unit_vin_unique",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="StoredFile",
            fields=[
                ("sha256", models.CharField(max_length=64, primary_key=True, serialize=False)),
                ("size", models.PositiveIntegerField()),
                ("media_type", models.CharField(max_length=60)),
                ("stored_at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="HistoryEntry",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("sequence", models.BigIntegerField()),
                ("kind", models.CharField(max_length=48)),
                ("subject", models.UUIDField(blank=True, null=True)),
                ("performed_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("content_hash", models.BinaryField(max_length=32)),
                ("previous_hash", models.BinaryField(max_length=32)),
                ("entry_hash", models.BinaryField(max_length=32)),
                (
                    "actor",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="history", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["subject"], name="history_by_subject")],
                "constraints": [models.UniqueConstraint(fields=("unit", "sequence"), name="history_sequence_unique")],
            },
        ),
        migrations.CreateModel(
            name="JobPlace",
            fields=[
                ("name", models.CharField(max_length=40, primary_key=True, serialize=False)),
                ("day", models.DateField()),
                ("after_day", models.DateField(blank=True, null=True)),
                ("after_id", models.UUIDField()),
            ],
        ),
        migrations.CreateModel(
            name="JobRun",
            fields=[
                ("name", models.CharField(max_length=40, primary_key=True, serialize=False)),
                ("ended_well_at", models.DateTimeField(blank=True, null=True)),
                ("failed_at", models.DateTimeField(blank=True, null=True)),
            ],
        ),
        migrations.CreateModel(
            name="Restore",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("backed_up_at", models.DateTimeField()),
                ("restored_at", models.DateTimeField()),
                ("restored_by", models.CharField(max_length=160)),
                ("known_until", models.DateField(blank=True, null=True)),
                ("lengths", models.JSONField()),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="SignInAttempt",
            fields=[
                ("subject", models.CharField(max_length=120, primary_key=True, serialize=False)),
                ("window_starts_at", models.DateTimeField()),
                ("failures", models.PositiveIntegerField(default=0)),
            ],
        ),
        migrations.CreateModel(
            name="Site",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                ("code", models.CharField(max_length=24, unique=True)),
                ("name", models.CharField(max_length=120)),
                ("address", models.TextField(blank=True)),
                ("time_zone", models.CharField(max_length=64)),
                ("bays", models.PositiveSmallIntegerField(default=0)),
                ("has_signal", models.BooleanField(default=True)),
                ("closed_on", models.DateField(blank=True, null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Carrier",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                ("only", models.BooleanField(default=True, editable=False)),
                ("name", models.CharField(max_length=120)),
                ("usdot_number", models.CharField(max_length=12)),
                ("address", models.TextField(blank=True)),
                ("time_zone", models.CharField(default="America/Chicago", max_length=64)),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("only",), name="carrier_one_per_installation"),
                    models.CheckConstraint(condition=models.Q(("only", True)), name="carrier_only_is_true"),
                ],
            },
        ),
        migrations.CreateModel(
            name="CoolingUnitDetails",
            fields=[
                (
                    "unit",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="cooling_unit",
                        serialize=False,
                        to="fleet.unit",
                    ),
                ),
                ("tank_gal", models.DecimalField(blank=True, decimal_places=1, max_digits=6, null=True)),
                ("unusable_gal", models.DecimalField(decimal_places=1, default=0, max_digits=4)),
                ("burn_gal_per_h", models.DecimalField(blank=True, decimal_places=3, max_digits=5, null=True)),
            ],
        ),
        migrations.CreateModel(
            name="TractorDetails",
            fields=[
                (
                    "unit",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="tractor",
                        serialize=False,
                        to="fleet.unit",
                    ),
                ),
                ("steering_wheel_diameter_in", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "steering_assist",
                    models.CharField(
                        blank=True, choices=[("power", "power"), ("manual", "manual")], default="", max_length=8
                    ),
                ),
                ("governor_cut_in_psi", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("governor_cut_out_psi", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("fuel_tank_gal", models.DecimalField(blank=True, decimal_places=1, max_digits=6, null=True)),
                ("gross_rating_lb", models.PositiveIntegerField(blank=True, null=True)),
            ],
        ),
        migrations.CreateModel(
            name="TrailerDetails",
            fields=[
                (
                    "unit",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="trailer",
                        serialize=False,
                        to="fleet.unit",
                    ),
                ),
                ("length_ft", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("slider_pins", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("floor_drains", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("empty_weight_lb", models.PositiveIntegerField(blank=True, null=True)),
            ],
        ),
        migrations.CreateModel(
            name="UnitChain",
            fields=[
                (
                    "unit",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="chain",
                        serialize=False,
                        to="fleet.unit",
                    ),
                ),
                ("sequence", models.BigIntegerField(default=0)),
                ("head", models.BinaryField(max_length=32)),
            ],
        ),
        migrations.CreateModel(
            name="Coupling",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("started_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("recorded_at", models.DateTimeField()),
                ("took_over", models.BooleanField(default=False)),
                ("taken_over", models.BooleanField(default=False)),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="DeviceToken",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("device", models.CharField(max_length=80)),
                ("digest", models.BinaryField(max_length=32, unique=True)),
                ("created_at", models.DateTimeField()),
                ("renewed_on", models.DateField()),
                ("expires_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="tokens", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="FeedToken",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("name", models.CharField(max_length=80)),
                ("digest", models.BinaryField(max_length=32, unique=True)),
                ("filters", models.JSONField(default=dict)),
                ("created_at", models.DateTimeField()),
                ("ends_on", models.DateField(db_default=fleet.models.documents.InAYear())),
                ("last_used_at", models.DateTimeField(blank=True, null=True)),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="feeds", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Deletion",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("history_content", "history_content"),
                            ("report_checks", "report_checks"),
                            ("photo", "photo"),
                            ("scan", "scan"),
                        ],
                        max_length=16,
                    ),
                ),
                ("record", models.UUIDField()),
                ("unit_name", models.CharField(blank=True, default="", max_length=160)),
                ("subject", models.UUIDField(blank=True, null=True)),
                ("event", models.CharField(blank=True, default="", max_length=48)),
                ("record_kind", models.CharField(max_length=40)),
                ("retained_until", models.DateField()),
                ("rule", models.CharField(max_length=160)),
                ("source", models.CharField(max_length=120)),
                ("content_hash", models.CharField(max_length=64)),
                ("deleted_at", models.DateTimeField()),
                ("run", models.UUIDField()),
                (
                    "unit",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deletions",
                        to="fleet.unit",
                    ),
                ),
                (
                    "entry",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deletion",
                        to="fleet.historyentry",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["-deleted_at", "id"], name="deletion_newest"),
                    models.Index(fields=["unit", "-deleted_at"], name="deletion_of_unit"),
                ],
                "constraints": [
                    models.UniqueConstraint(fields=("what", "record"), name="deletion_once"),
                    models.CheckConstraint(
                        condition=models.Q(("what__in", ["history_content", "report_checks", "photo", "scan"])),
                        name="deletion_what_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="IdempotencyRecord",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("method", models.CharField(max_length=8)),
                ("path", models.CharField(max_length=240)),
                ("key", models.CharField(max_length=200)),
                ("fingerprint", models.CharField(max_length=64)),
                ("status", models.PositiveSmallIntegerField(null=True)),
                ("body", models.TextField(blank=True, default="")),
                ("headers", models.JSONField(default=dict)),
                ("created_at", models.DateTimeField()),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["created_at"], name="idempotency_by_age")],
                "constraints": [
                    models.UniqueConstraint(fields=("person", "method", "path", "key"), name="idempotency_key_unique")
                ],
            },
        ),
        migrations.CreateModel(
            name="LegalHold",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "cause",
                    models.CharField(
                        choices=[
                            ("crash", "crash"),
                            ("claim", "claim"),
                            ("complaint", "complaint"),
                            ("other", "other"),
                        ],
                        max_length=12,
                    ),
                ),
                ("reason", models.TextField()),
                ("placed_at", models.DateTimeField()),
                ("lifted_at", models.DateTimeField(blank=True, null=True)),
                ("lift_reason", models.TextField(blank=True, default="")),
                (
                    "lifted_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "placed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="legal_holds", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("lifted_at__isnull", True)), fields=["unit"], name="legal_hold_active"
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("cause__in", ["crash", "claim", "complaint", "other"])),
                        name="legal_hold_cause_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("lift_reason", ""), ("lifted_at__isnull", True), ("lifted_by__isnull", True)),
                            models.Q(
                                ("lifted_at__isnull", False),
                                ("lifted_by__isnull", False),
                                models.Q(("lift_reason", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="legal_hold_lift_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MeterReading",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "meter",
                    models.CharField(
                        choices=[("odometer_mi", "odometer_mi"), ("engine_h", "engine_h"), ("standby_h", "standby_h")],
                        max_length=12,
                    ),
                ),
                ("shown", models.DecimalField(decimal_places=1, max_digits=12)),
                ("total", models.DecimalField(decimal_places=1, max_digits=12)),
                ("read_at", models.DateTimeField()),
                (
                    "state",
                    models.CharField(
                        choices=[("accepted", "accepted"), ("set_aside", "set_aside")],
                        default="accepted",
                        max_length=12,
                    ),
                ),
                ("flag", models.CharField(blank=True, default="", max_length=40)),
                ("walkaround_id", models.UUIDField(blank=True, null=True)),
                ("recorded_at", models.DateTimeField()),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="meter_readings", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["unit", "meter", "-read_at"], name="meter_reading_newest")],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("shown__gte", 0)), name="meter_reading_not_negative")
                ],
            },
        ),
        migrations.CreateModel(
            name="MeterReplacement",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "meter",
                    models.CharField(
                        choices=[("odometer_mi", "odometer_mi"), ("engine_h", "engine_h"), ("standby_h", "standby_h")],
                        max_length=12,
                    ),
                ),
                ("offset", models.DecimalField(decimal_places=1, max_digits=12)),
                ("replaced_at", models.DateTimeField()),
                ("reason", models.TextField()),
                ("recorded_at", models.DateTimeField()),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="meter_replacements", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["unit", "meter", "-replaced_at"], name="meter_replacement_newest")],
            },
        ),
        migrations.CreateModel(
            name="Notification",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("hold_placed", "hold_placed"),
                            ("load_at_risk", "load_at_risk"),
                            ("order_by_officer", "order_by_officer"),
                            ("document_ending", "document_ending"),
                            ("answer_flipped", "answer_flipped"),
                            ("roadside_answer_due", "roadside_answer_due"),
                            ("promise_moved", "promise_moved"),
                            ("unit_refused", "unit_refused"),
                            ("second_look_done", "second_look_done"),
                            ("inspection_queried", "inspection_queried"),
                            ("fault_to_grade", "fault_to_grade"),
                            ("fault_before_use", "fault_before_use"),
                            ("hold_lifted", "hold_lifted"),
                            ("firm_to_confirm", "firm_to_confirm"),
                            ("seal_differs", "seal_differs"),
                            ("unit_unknown", "unit_unknown"),
                            ("record_passed_over", "record_passed_over"),
                        ],
                        max_length=24,
                    ),
                ),
                ("dedupe_key", models.CharField(max_length=200, unique=True)),
                ("subject_id", models.UUIDField(blank=True, null=True)),
                ("step", models.CharField(blank=True, default="", max_length=60)),
                ("code", models.CharField(max_length=48)),
                ("facts", models.JSONField()),
                ("urgent", models.BooleanField(default=False)),
                ("created_at", models.DateTimeField()),
                ("caused_by", models.UUIDField(blank=True, null=True)),
                ("acknowledged_at", models.DateTimeField(blank=True, null=True)),
                ("snoozed_until", models.DateTimeField(blank=True, null=True)),
                ("snooze_reason", models.TextField(blank=True, default="")),
                ("escalated_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="notifications",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="notifications",
                        to="fleet.unit",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["person", "-created_at", "id"], name="notification_person_newest"),
                    models.Index(
                        condition=models.Q(("caused_by__isnull", False)),
                        fields=["caused_by"],
                        name="notification_by_cause",
                    ),
                    models.Index(
                        condition=models.Q(
                            ("acknowledged_at__isnull", True), ("escalated_at__isnull", True), ("urgent", True)
                        ),
                        fields=["created_at"],
                        name="notification_to_escalate",
                    ),
                    models.Index(
                        condition=models.Q(
                            ("acknowledged_at__isnull", True),
                            ("code__in", ("document_overdue", "document_missing")),
                            ("escalated_at__isnull", True),
                        ),
                        fields=["created_at"],
                        name="late_document_to_escalate",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Delivery",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("channel", models.CharField(choices=[("mail", "mail"), ("webhook", "webhook")], max_length=8)),
                ("digest_on", models.DateField(blank=True, null=True)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("pending", "pending"),
                            ("sent", "sent"),
                            ("parked", "parked"),
                            ("dropped", "dropped"),
                        ],
                        default="pending",
                        max_length=8,
                    ),
                ),
                ("attempts", models.PositiveSmallIntegerField(default=0)),
                ("created_at", models.DateTimeField(db_default=django.db.models.functions.datetime.Now())),
                ("next_try_at", models.DateTimeField()),
                ("claimed_until", models.DateTimeField(blank=True, null=True)),
                ("sent_at", models.DateTimeField(blank=True, null=True)),
                ("message_id", models.CharField(max_length=120, unique=True)),
                ("last_error", models.TextField(blank=True, default="")),
                ("cause", models.CharField(blank=True, db_default="", default="", max_length=64)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deliveries",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                ("notifications", models.ManyToManyField(related_name="deliveries", to="fleet.notification")),
            ],
            options={
                "verbose_name_plural": "deliveries",
                "indexes": [
                    models.Index(
                        condition=models.Q(("state", "pending")),
                        fields=["next_try_at", "id"],
                        name="delivery_pending_by_time",
                    ),
                    models.Index(
                        condition=models.Q(("state", "parked")),
                        fields=["next_try_at", "id"],
                        name="delivery_parked_by_time",
                    ),
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("digest_on__isnull", False)),
                        fields=("person", "channel", "digest_on"),
                        name="delivery_one_digest_a_day",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Policy",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("key", models.CharField(max_length=64)),
                ("value", models.JSONField()),
                ("valid_from", models.DateTimeField()),
                ("reason", models.TextField(blank=True)),
                ("recorded_at", models.DateTimeField()),
                ("from_console", models.BooleanField(default=False)),
                (
                    "set_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="policies_set",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["key", "-valid_from"], name="policy_key_newest")],
                "constraints": [models.UniqueConstraint(fields=("key", "valid_from"), name="policy_key_from_unique")],
            },
        ),
        migrations.CreateModel(
            name="Qualification",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "scope",
                    models.CharField(
                        choices=[
                            ("brakes_inspect", "brakes_inspect"),
                            ("brakes_adjust", "brakes_adjust"),
                            ("brakes_repair", "brakes_repair"),
                            ("periodic_inspection", "periodic_inspection"),
                            ("refrigerant", "refrigerant"),
                            ("cooling_unit", "cooling_unit"),
                            ("tires", "tires"),
                            ("food_disposition", "food_disposition"),
                            ("under_vehicle", "under_vehicle"),
                        ],
                        max_length=24,
                    ),
                ),
                ("evidence", models.TextField()),
                ("starts_on", models.DateField()),
                ("ends_on", models.DateField(blank=True, null=True)),
                ("recorded_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "ended_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="qualifications",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["person", "scope"], name="qualification_person_scope")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "scope__in",
                                [
                                    "brakes_inspect",
                                    "brakes_adjust",
                                    "brakes_repair",
                                    "periodic_inspection",
                                    "refrigerant",
                                    "cooling_unit",
                                    "tires",
                                    "food_disposition",
                                    "under_vehicle",
                                ],
                            )
                        ),
                        name="qualification_scope_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ends_on__isnull", True), ("ends_on__gte", models.F("starts_on")), _connector="OR"
                        ),
                        name="qualification_ends_after_start",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="QueueReport",
            fields=[
                ("name", models.CharField(max_length=40, primary_key=True, serialize=False)),
                ("waiting", models.PositiveIntegerField()),
                ("waited_s", models.FloatField()),
                ("reported_at", models.DateTimeField()),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("waited_s__gte", 0)), name="queue_report_waited")
                ],
            },
        ),
        migrations.CreateModel(
            name="Signature",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "purpose",
                    models.CharField(
                        choices=[
                            ("report", "report"),
                            ("correction", "correction"),
                            ("certificate", "certificate"),
                            ("review", "review"),
                            ("lift", "lift"),
                            ("in_error", "in_error"),
                            ("refusal", "refusal"),
                            ("second_look", "second_look"),
                            ("disposition", "disposition"),
                            ("answer", "answer"),
                            ("work_paused", "work_paused"),
                            ("set_aside", "set_aside"),
                        ],
                        max_length=12,
                    ),
                ),
                ("shown", models.TextField()),
                ("content_hash", models.CharField(max_length=64)),
                (
                    "method",
                    models.CharField(
                        choices=[
                            ("drawn", "drawn"),
                            ("typed", "typed"),
                            ("code", "code"),
                            ("paper", "paper"),
                            ("other", "other"),
                        ],
                        max_length=8,
                    ),
                ),
                ("device", models.CharField(blank=True, default="", max_length=80)),
                ("signed_at", models.DateTimeField()),
                ("offset_minutes", models.SmallIntegerField()),
                ("received_at", models.DateTimeField()),
                (
                    "signer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="signatures",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "token_owner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="unit",
            name="home_site",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="units",
                to="fleet.site",
            ),
        ),
        migrations.CreateModel(
            name="PersonRole",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("driver", "driver"),
                            ("mechanic", "mechanic"),
                            ("foreman", "foreman"),
                            ("compliance", "compliance"),
                            ("dispatch", "dispatch"),
                            ("administrator", "administrator"),
                            ("trainer", "trainer"),
                            ("auditor", "auditor"),
                        ],
                        max_length=16,
                    ),
                ),
                ("starts_on", models.DateField()),
                ("ends_on", models.DateField(blank=True, null=True)),
                ("granted_at", models.DateTimeField(blank=True, null=True)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("console_reason", models.CharField(blank=True, default="", max_length=400)),
                (
                    "ended_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "granted_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="roles", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="roles",
                        to="fleet.site",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["role", "starts_on"], name="person_role_by_role")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("role", "administrator"), _negated=True),
                            ("site__isnull", True),
                            ("ends_on__isnull", False),
                            _connector="OR",
                        ),
                        name="person_role_administrator_everywhere",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "role__in",
                                [
                                    "driver",
                                    "mechanic",
                                    "foreman",
                                    "compliance",
                                    "dispatch",
                                    "administrator",
                                    "trainer",
                                    "auditor",
                                ],
                            )
                        ),
                        name="person_role_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ends_on__isnull", True), ("ends_on__gte", models.F("starts_on")), _connector="OR"
                        ),
                        name="person_role_ends_after_start",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="OnCallShift",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "role",
                    models.CharField(
                        choices=[
                            ("driver", "driver"),
                            ("mechanic", "mechanic"),
                            ("foreman", "foreman"),
                            ("compliance", "compliance"),
                            ("dispatch", "dispatch"),
                            ("administrator", "administrator"),
                            ("trainer", "trainer"),
                            ("auditor", "auditor"),
                        ],
                        max_length=16,
                    ),
                ),
                ("starts_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="shifts", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="shifts",
                        to="fleet.site",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("withdrawn_at__isnull", True)),
                        fields=["person", "role", "ends_at"],
                        name="on_call_active",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "role__in",
                                [
                                    "driver",
                                    "mechanic",
                                    "foreman",
                                    "compliance",
                                    "dispatch",
                                    "administrator",
                                    "trainer",
                                    "auditor",
                                ],
                            )
                        ),
                        name="on_call_role_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("ends_at__gt", models.F("starts_at"))), name="on_call_ends_after_start"
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="person",
            name="home_site",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="people",
                to="fleet.site",
            ),
        ),
        migrations.CreateModel(
            name="SkippedRecord",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("job", models.CharField(max_length=40)),
                ("subject", models.UUIDField()),
                ("why", models.CharField(max_length=200)),
                ("first_at", models.DateTimeField()),
                ("last_at", models.DateTimeField()),
            ],
            options={
                "constraints": [models.UniqueConstraint(fields=("job", "subject"), name="skipped_record_once")],
            },
        ),
        migrations.CreateModel(
            name="WebhookEndpoint",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("url", models.CharField(max_length=400)),
                ("secret", models.CharField(max_length=80)),
                ("recorded_at", models.DateTimeField()),
                ("ends_on", models.DateField(blank=True, null=True)),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="webhooks",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("closed_at__isnull", True)),
                        fields=("person",),
                        name="webhook_one_open_each",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Mounting",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("span", django.contrib.postgres.fields.ranges.DateTimeRangeField()),
                ("recorded_at", models.DateTimeField()),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "cooling_unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="mountings",
                        to="fleet.coolingunitdetails",
                    ),
                ),
                (
                    "trailer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="mountings", to="fleet.trailerdetails"
                    ),
                ),
            ],
            options={
                "constraints": [
                    django.contrib.postgres.constraints.ExclusionConstraint(
                        expressions=(("trailer", "="), ("span", "&&")), name="mounting_trailer_no_overlap"
                    ),
                    django.contrib.postgres.constraints.ExclusionConstraint(
                        expressions=(("cooling_unit", "="), ("span", "&&")), name="mounting_cooling_unit_no_overlap"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Axle",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("number", models.PositiveSmallIntegerField()),
                (
                    "role",
                    models.CharField(
                        choices=[("steer", "steer"), ("drive", "drive"), ("trailer", "trailer")], max_length=8
                    ),
                ),
                ("dual", models.BooleanField()),
                (
                    "brake_type",
                    models.CharField(
                        blank=True, choices=[("drum", "drum"), ("disc", "disc")], default="", max_length=8
                    ),
                ),
                (
                    "actuator",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("clamp", "clamp"),
                            ("bolt", "bolt"),
                            ("rotochamber", "rotochamber"),
                            ("dd_3", "dd_3"),
                            ("other", "other"),
                        ],
                        default="",
                        max_length=12,
                    ),
                ),
                ("chamber_type", models.CharField(blank=True, default="", max_length=4)),
                (
                    "stroke_class",
                    models.CharField(
                        blank=True,
                        choices=[("standard", "standard"), ("long", "long"), ("long_3_in", "long_3_in")],
                        default="",
                        max_length=12,
                    ),
                ),
                ("rated_stroke_in", models.DecimalField(blank=True, decimal_places=3, max_digits=4, null=True)),
                ("marked_limit_in", models.DecimalField(blank=True, decimal_places=3, max_digits=4, null=True)),
                (
                    "lining",
                    models.CharField(
                        blank=True,
                        choices=[("one_strip", "one_strip"), ("two_pads", "two_pads")],
                        default="",
                        max_length=12,
                    ),
                ),
                ("tire_size", models.CharField(blank=True, default="", max_length=24)),
                ("target_psi", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("max_psi", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("load_psi", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="axles", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("unit", "number"), name="axle_number_unique"),
                    models.CheckConstraint(
                        condition=models.Q(("number__gte", 1), ("number__lte", 12)), name="axle_number_range"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("chamber_type", ""),
                            (
                                "chamber_type__in",
                                ("6", "9", "12", "16", "20", "24", "30", "36", "A", "B", "C", "D", "E", "F", "G", "50"),
                            ),
                            _connector="OR",
                        ),
                        name="axle_chamber_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("max_psi__isnull", True),
                            ("target_psi__isnull", True),
                            ("target_psi__lte", models.F("max_psi")),
                            _connector="OR",
                        ),
                        name="axle_target_within_max",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CouplingMember",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("span", django.contrib.postgres.fields.ranges.DateTimeRangeField()),
                (
                    "coupling",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="members", to="fleet.coupling"
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="coupling_spans", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "constraints": [
                    django.contrib.postgres.constraints.ExclusionConstraint(
                        expressions=(("unit", "="), ("span", "&&")), name="coupling_member_no_overlap"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="FileRemoval",
            fields=[
                (
                    "file",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="removal",
                        serialize=False,
                        to="fleet.storedfile",
                    ),
                ),
                ("requested_at", models.DateTimeField()),
                ("done_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("done_at__isnull", True)),
                        fields=["requested_at"],
                        name="file_removal_pending",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Document",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                ("kind", models.CharField(max_length=48)),
                ("number", models.CharField(blank=True, default="", max_length=60)),
                ("issuer", models.CharField(blank=True, default="", max_length=160)),
                ("state", models.CharField(blank=True, default="", max_length=2)),
                ("issued_on", models.DateField(blank=True, null=True)),
                ("starts_on", models.DateField(blank=True, null=True)),
                ("ends_on", models.DateField(blank=True, null=True)),
                ("ends_on_month", models.DateField(blank=True, null=True)),
                (
                    "program",
                    models.CharField(
                        blank=True,
                        choices=[("self", "self"), ("agent", "agent"), ("state", "state")],
                        default="",
                        max_length=8,
                    ),
                ),
                ("inspector", models.CharField(blank=True, default="", max_length=120)),
                ("evidence_held_by", models.CharField(blank=True, default="", max_length=160)),
                ("inspector_unproven", models.BooleanField(default=False)),
                ("recorded_at", models.DateTimeField()),
                ("superseded_at", models.DateTimeField(blank=True, null=True)),
                ("scan_retained_until", models.DateField(blank=True, null=True)),
                ("scan_record_kind", models.CharField(blank=True, default="", max_length=40)),
                (
                    "person",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="documents",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "superseded_by",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="supersedes",
                        to="fleet.document",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="documents",
                        to="fleet.unit",
                    ),
                ),
                (
                    "file",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="documents",
                        to="fleet.storedfile",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("superseded_at__isnull", True)),
                        fields=["ends_on", "id"],
                        name="document_by_end",
                    ),
                    models.Index(fields=["unit", "kind"], name="document_unit_kind"),
                    models.Index(
                        condition=models.Q(("file__isnull", False), ("superseded_at__isnull", False)),
                        fields=["scan_retained_until"],
                        name="document_scan_to_delete",
                    ),
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("superseded_at__isnull", True)),
                        fields=("kind", "unit", "person", "state"),
                        name="document_one_current",
                        nulls_distinct=False,
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("unit__isnull", True), ("person__isnull", True), _connector="OR"),
                        name="document_one_subject",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ends_on__isnull", True),
                            ("starts_on__isnull", True),
                            ("ends_on__gte", models.F("starts_on")),
                            _connector="OR",
                        ),
                        name="document_ends_after_start",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoryContent",
            fields=[
                (
                    "entry",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="content",
                        serialize=False,
                        to="fleet.historyentry",
                    ),
                ),
                ("salt", models.BinaryField(max_length=16)),
                ("body", models.TextField()),
                ("record_kind", models.CharField(blank=True, default="", max_length=40)),
                ("retained_until", models.DateField(blank=True, null=True)),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("retained_until__isnull", False)),
                        fields=["retained_until"],
                        name="content_by_retained_until",
                    ),
                    models.Index(
                        condition=models.Q(("record_kind", "")), fields=["entry"], name="content_without_kind"
                    ),
                ],
            },
        ),
        migrations.RunSQL(FUNCTIONS, FUNCTIONS_BACK),
        migrations.RunSQL(TRIGGERS, migrations.RunSQL.noop),
    ]
