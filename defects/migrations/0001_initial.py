"""What drivers find and what bars a unit: every table of the app, with its functions and triggers."""

import common.ids
import django.contrib.postgres.fields
import django.db.models.deletion
import fleet.models.base
from django.conf import settings
from django.db import migrations, models


COPY_LEFT = """
-- What an earlier release stored: a photo's copy without its place goes with the photo (decision 47).
ALTER TABLE defects_photo ADD COLUMN without_location_id varchar(64)
    REFERENCES fleet_storedfile (sha256) DEFERRABLE INITIALLY DEFERRED;
CREATE INDEX defects_photo_without_location ON defects_photo (without_location_id);
"""

FUNCTIONS = r"""
CREATE OR REPLACE FUNCTION refuse_hold_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
BEGIN
    IF TG_OP = 'UPDATE' AND OLD.lifted_at IS NULL AND NEW.lifted_at IS NOT NULL
       AND (to_jsonb(NEW) - ARRAY['lifted_at', 'lifted_by_id', 'lift_signature_id', 'lift_reason', 'lift_flag'])
         = (to_jsonb(OLD) - ARRAY['lifted_at', 'lifted_by_id', 'lift_signature_id', 'lift_reason', 'lift_flag']) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'a hold is lifted once and changed in nothing else' USING ERRCODE = 'restrict_violation';
END $function$;

CREATE OR REPLACE FUNCTION refuse_report_change()
 RETURNS trigger
 LANGUAGE plpgsql
AS $function$
DECLARE
    lists CONSTANT text[] := ARRAY['checks', 'faults', 'flags', 'looked_at', 'left_open', 'checks_schema'];
    judged CONSTANT text[] := ARRAY['unit_id', 'checks', 'looked_at', 'places_asked', 'places_covered', 'left_open',
                                    'flags', 'review_due', 'unit_assigned_by_id', 'unit_assigned_at'];
BEGIN
    -- Once, and only how it is judged: each check but its verdict, and each leg but whether it counts, stay as given.
    IF TG_OP = 'UPDATE' AND OLD.unit_id IS NULL AND NEW.unit_id IS NOT NULL AND NEW.unit_assigned_at IS NOT NULL
       AND (to_jsonb(NEW) - judged) = (to_jsonb(OLD) - judged)
       AND (SELECT jsonb_agg(item - 'verdict' ORDER BY place)
              FROM jsonb_array_elements(NEW.checks) WITH ORDINALITY AS given(item, place))
           IS NOT DISTINCT FROM
           (SELECT jsonb_agg(item - 'verdict' ORDER BY place)
              FROM jsonb_array_elements(OLD.checks) WITH ORDINALITY AS given(item, place))
       AND (SELECT jsonb_agg(item - 'counts' ORDER BY place)
              FROM jsonb_array_elements(NEW.looked_at) WITH ORDINALITY AS given(item, place))
           IS NOT DISTINCT FROM
           (SELECT jsonb_agg(item - 'counts' ORDER BY place)
              FROM jsonb_array_elements(OLD.looked_at) WITH ORDINALITY AS given(item, place)) THEN
        RETURN NEW;
    END IF;
    IF TG_OP = 'UPDATE' AND (to_jsonb(NEW) - lists) = (to_jsonb(OLD) - lists)
       AND (NEW.checks, NEW.faults, NEW.flags, NEW.looked_at, NEW.left_open)
           = ('[]'::jsonb, '[]'::jsonb, '[]'::jsonb, '[]'::jsonb, '[]'::jsonb) AND NEW.checks_schema = 0
       AND EXISTS (SELECT FROM public.fleet_deletion AS deletion
                    WHERE deletion.what = 'report_checks' AND deletion.record = OLD.id) THEN
        RETURN NEW;
    END IF;
    RAISE EXCEPTION 'defects_report is append-only' USING ERRCODE = 'restrict_violation';
END $function$;

CREATE OR REPLACE FUNCTION refuse_sent_body_change()
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

CREATE OR REPLACE FUNCTION take_photo_along()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    IF EXISTS (SELECT FROM public.fleet_historyentry AS entry
                WHERE entry.subject = NEW.subject AND entry.kind = 'photo_received'
                  AND NOT EXISTS (SELECT FROM public.fleet_deletion AS deletion WHERE deletion.entry_id = entry.id)) THEN
        RETURN NULL;
    END IF;
    INSERT INTO public.fleet_deletion (id, what, record, unit_id, unit_name, subject, event, record_kind, retained_until,
                                       rule, source, content_hash, deleted_at, run)
    SELECT gen_random_uuid(), 'photo', photo.id, NEW.unit_id, NEW.unit_name,
           coalesce(photo.defect_id, photo.walkaround_id), '', NEW.record_kind, NEW.retained_until, NEW.rule, NEW.source,
           photo.original_id, NEW.deleted_at, NEW.run
      FROM public.defects_photo AS photo
     WHERE photo.id = NEW.subject
        ON CONFLICT DO NOTHING;
    PERFORM public.request_file_removal(
                array_remove(ARRAY[photo.original_id, photo.without_location_id]::text[], NULL))
       FROM public.defects_photo AS photo WHERE photo.id = NEW.subject;
    RETURN NULL;
END $function$;

CREATE OR REPLACE FUNCTION take_report_along()
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

CREATE OR REPLACE FUNCTION take_sent_body_along()
 RETURNS trigger
 LANGUAGE plpgsql
 SET search_path TO 'pg_catalog', 'pg_temp'
AS $function$
BEGIN
    UPDATE public.defects_sentbody AS sent SET text = ''
     WHERE sent.id = NEW.walkaround_id AND sent.text <> ''
       AND NOT EXISTS (SELECT FROM public.defects_report AS report
                        WHERE report.walkaround_id = sent.id AND report.unit_id IS NOT NULL AND report.checks_schema <> 0);
    RETURN NULL;
END $function$;
"""

FUNCTIONS_BACK = """
DROP FUNCTION
    refuse_hold_change,
    refuse_report_change,
    refuse_sent_body_change,
    take_photo_along,
    take_report_along,
    take_sent_body_along
CASCADE
"""

TRIGGERS = """
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_catalogueversion FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_catalogueversion FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_certificate FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_certificate FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_certificate_worked_by FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_certificate_worked_by FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_clearance FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_clearance FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_clearance_units FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_clearance_units FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_driverreview FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_driverreview FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_driverreview_certificates FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_driverreview_certificates FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_driverreview_reports FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_driverreview_reports FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_entryinerror FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_entryinerror FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_firmconfirmation FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_firmconfirmation FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_hold FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_measurement FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_measurement FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_photo FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_photo FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_refusal FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_refusal FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_refusal_defects FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_refusal_defects FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_repeatedtest FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_repeatedtest FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_report FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_riskentry FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_riskentry FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_roadsideinspection_units FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_roadsideinspection_units FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_roadsideviolation FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_roadsideviolation FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_secondlook FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_secondlook FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_sentbody FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_setaside FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_setaside FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_sighting FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_sighting FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_walkaround FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_walkaround FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_yardmove FOR EACH ROW EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only_whole BEFORE TRUNCATE ON defects_yardmove FOR EACH STATEMENT EXECUTE FUNCTION refuse_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_hold FOR EACH ROW EXECUTE FUNCTION refuse_hold_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_report FOR EACH ROW EXECUTE FUNCTION refuse_report_change();
CREATE TRIGGER append_only BEFORE DELETE OR UPDATE ON defects_sentbody FOR EACH ROW EXECUTE FUNCTION refuse_sent_body_change();
CREATE TRIGGER take_photo_along AFTER INSERT ON fleet_deletion FOR EACH ROW WHEN ((((new.what)::text = 'history_content'::text) AND ((new.event)::text = 'photo_received'::text))) EXECUTE FUNCTION take_photo_along();
CREATE TRIGGER take_report_along AFTER INSERT ON fleet_deletion FOR EACH ROW WHEN ((((new.what)::text = 'history_content'::text) AND ((new.event)::text = 'report_signed'::text))) EXECUTE FUNCTION take_report_along();
CREATE TRIGGER take_sent_body_along AFTER UPDATE ON defects_report FOR EACH ROW WHEN ((new.checks_schema = 0)) EXECUTE FUNCTION take_sent_body_along();
"""


class Migration(migrations.Migration):
    initial = True

    replaces = [
        ("defects", "0001_tables"),
        ("defects", "0002_append_only"),
        ("defects", "0003_answer_flips"),
        ("defects", "0004_kept_for_repair"),
        ("defects", "0005_purged_reports"),
        ("defects", "0006_standing_bars"),
        ("defects", "0007_newest_report"),
        ("defects", "0008_mode_cycling"),
        ("defects", "0009_loads_cycling"),
        ("defects", "0010_looked_at"),
        ("defects", "0011_signing_links"),
        ("defects", "0012_left_open"),
        ("defects", "0013_food_bars"),
        ("defects", "0014_sent_bodies"),
        ("defects", "0015_shown_by_more_than_words"),
        ("defects", "0016_work_in_progress"),
        ("defects", "0017_listing"),
        ("defects", "0018_listings_on_record"),
        ("defects", "0019_seal_read"),
        ("defects", "0020_look_by_link"),
        ("defects", "0021_unit_assigned"),
        ("defects", "0022_reports_set_aside"),
        ("defects", "0023_paused_for_cold_freight"),
        ("defects", "0024_photos_without_copies"),
        ("defects", "0025_certificates_by_report"),
        ("defects", "0026_names_of_the_glossary"),
        ("defects", "0027_columns_of_the_glossary"),
        ("defects", "0028_constraints_of_the_glossary"),
    ]

    dependencies = [
        ("fleet", "0001_initial"),
        ("fleet", "__first__"),
    ]

    operations = [
        migrations.RunSQL("CREATE SEQUENCE defects_defect_number START 1001", "DROP SEQUENCE defects_defect_number"),
        migrations.RunSQL("CREATE SEQUENCE defects_hold_number START 1001", "DROP SEQUENCE defects_hold_number"),
        migrations.CreateModel(
            name="CatalogueVersion",
            fields=[
                ("content_hash", models.CharField(max_length=64, primary_key=True, serialize=False)),
                ("document", models.TextField()),
                ("first_used_at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="SentBody",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                ("text", models.TextField()),
                ("received_at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="Certificate",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "kind",
                    models.CharField(
                        choices=[("repaired", "repaired"), ("repair_unnecessary", "repair_unnecessary")], max_length=20
                    ),
                ),
                ("statement", models.TextField()),
                ("photo_sha256", models.CharField(blank=True, default="", max_length=64)),
                ("corrected_on_the_spot", models.BooleanField(default=False)),
                ("agent_reason", models.TextField(blank=True, default="")),
                ("firm", models.CharField(blank=True, default="", max_length=120)),
                ("brake_evidence", models.TextField(blank=True, default="")),
                ("limit_on", models.DateField(blank=True, null=True)),
                ("limit_mi", models.DecimalField(blank=True, decimal_places=1, max_digits=12, null=True)),
                ("limit_engine_h", models.DecimalField(blank=True, decimal_places=1, max_digits=12, null=True)),
                ("certified_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                (
                    "signature",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="certificate", to="fleet.signature"
                    ),
                ),
                (
                    "supersedes",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="superseded_by",
                        to="defects.certificate",
                    ),
                ),
                (
                    "worked_by",
                    models.ManyToManyField(blank=True, related_name="certificates_worked", to=settings.AUTH_USER_MODEL),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["repaired", "repair_unnecessary"])),
                        name="certificate_kind_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("kind", "repaired"),
                                ("limit_engine_h__isnull", True),
                                ("limit_mi__isnull", True),
                                ("limit_on__isnull", True),
                            ),
                            models.Q(
                                ("kind", "repair_unnecessary"),
                                models.Q(
                                    ("limit_on__isnull", False),
                                    ("limit_mi__isnull", False),
                                    ("limit_engine_h__isnull", False),
                                    _connector="OR",
                                ),
                            ),
                            _connector="OR",
                        ),
                        name="certificate_limit_by_kind",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Defect",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "number",
                    models.BigIntegerField(db_default=fleet.models.base.Sequence("defects_defect_number"), unique=True),
                ),
                ("point", models.CharField(blank=True, default="", max_length=80)),
                ("place", models.CharField(blank=True, default="", max_length=40)),
                ("text", models.TextField(blank=True, default="")),
                ("finding", models.CharField(blank=True, default="", max_length=40)),
                (
                    "authority",
                    models.CharField(choices=[("statutory", "statutory"), ("carrier", "carrier")], max_length=12),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("reported", "reported"),
                            ("in_repair", "in_repair"),
                            ("deferred", "deferred"),
                            ("certified", "certified"),
                            ("closed", "closed"),
                            ("entered_in_error", "entered_in_error"),
                        ],
                        default="reported",
                        max_length=20,
                    ),
                ),
                (
                    "severity",
                    models.CharField(
                        choices=[
                            ("do_not_move", "do_not_move"),
                            ("before_next_use", "before_next_use"),
                            ("next_shop_visit", "next_shop_visit"),
                            ("watch", "watch"),
                        ],
                        max_length=16,
                    ),
                ),
                (
                    "bars",
                    models.CharField(
                        choices=[
                            ("movement", "movement"),
                            ("food", "food"),
                            ("cold_freight", "cold_freight"),
                            ("nothing", "nothing"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "listing",
                    models.CharField(
                        choices=[
                            ("safety", "safety"),
                            ("breakdown", "breakdown"),
                            ("regulation", "regulation"),
                            ("driver", "driver"),
                            ("ungraded", "ungraded"),
                            ("foreman", "foreman"),
                            ("officer", "officer"),
                            ("noted", "noted"),
                        ],
                        max_length=12,
                    ),
                ),
                ("graded", models.BooleanField(default=True)),
                ("value", models.DecimalField(blank=True, decimal_places=4, max_digits=12, null=True)),
                ("unit_of_measure", models.CharField(blank=True, default="", max_length=16)),
                ("limit", models.CharField(blank=True, default="", max_length=40)),
                ("limit_value", models.DecimalField(blank=True, decimal_places=4, max_digits=12, null=True)),
                (
                    "regulation_severity",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("do_not_move", "do_not_move"),
                            ("before_next_use", "before_next_use"),
                            ("next_shop_visit", "next_shop_visit"),
                            ("watch", "watch"),
                        ],
                        default="",
                        max_length=16,
                    ),
                ),
                ("rule", models.CharField(blank=True, default="", max_length=120)),
                ("source", models.CharField(blank=True, default="", max_length=160)),
                ("counts_as_service_brake", models.BooleanField(default=False)),
                ("on_steering_axle", models.BooleanField(default=False)),
                ("found_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("order_id", models.UUIDField(blank=True, null=True)),
                ("order_number", models.BigIntegerField(blank=True, null=True)),
                ("expected_at", models.DateTimeField(blank=True, null=True)),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "catalogue",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="defects",
                        to="defects.catalogueversion",
                    ),
                ),
                (
                    "comeback_of",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="comebacks",
                        to="defects.defect",
                    ),
                ),
                (
                    "current_certificate",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="current_for",
                        to="defects.certificate",
                    ),
                ),
                (
                    "found_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="defects_found",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="defects", to="fleet.unit"
                    ),
                ),
                (
                    "worked_by",
                    models.ManyToManyField(blank=True, related_name="defects_worked", to=settings.AUTH_USER_MODEL),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("state__in", ["closed", "entered_in_error"]), _negated=True),
                        fields=["unit", "state"],
                        name="defect_authority",
                    ),
                    models.Index(fields=["-found_at", "id"], name="defect_newest"),
                    models.Index(fields=["order_id"], name="defect_by_order"),
                    models.Index(fields=["unit", "point", "place", "-found_at"], name="defect_comebacks"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("severity__in", ["do_not_move", "before_next_use", "next_shop_visit", "watch"])
                        ),
                        name="defect_severity_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("bars__in", ["movement", "food", "cold_freight", "nothing"])),
                        name="defect_bars_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "listing__in",
                                [
                                    "safety",
                                    "breakdown",
                                    "regulation",
                                    "driver",
                                    "ungraded",
                                    "foreman",
                                    "officer",
                                    "noted",
                                ],
                            )
                        ),
                        name="defect_listing_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("point", ""), _negated=True),
                            models.Q(("text", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="defect_says_what",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="certificate",
            name="defect",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="certificates", to="defects.defect"
            ),
        ),
        migrations.CreateModel(
            name="Load",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                ("number", models.CharField(max_length=40, unique=True)),
                (
                    "temperature_class",
                    models.CharField(
                        choices=[
                            ("frozen", "frozen"),
                            ("chilled", "chilled"),
                            ("protect_from_freezing", "protect_from_freezing"),
                            ("dry", "dry"),
                        ],
                        max_length=24,
                    ),
                ),
                ("food", models.BooleanField(default=True)),
                ("setpoint_f", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("lowest_f", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("highest_f", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                (
                    "mode",
                    models.CharField(
                        blank=True,
                        choices=[("continuous", "continuous"), ("cycling", "cycling")],
                        default="",
                        max_length=12,
                    ),
                ),
                ("seal", models.CharField(blank=True, default="", max_length=40)),
                ("pre_loaded", models.BooleanField(default=False)),
                ("last_cargo", models.CharField(blank=True, default="", max_length=120)),
                ("washout", models.CharField(blank=True, default="", max_length=120)),
                (
                    "states",
                    django.contrib.postgres.fields.ArrayField(
                        base_field=models.CharField(max_length=2), blank=True, default=list, size=None
                    ),
                ),
                ("pre_load_checked_at", models.DateTimeField(blank=True, null=True)),
                ("seal_checked_at", models.DateTimeField(blank=True, null=True)),
                ("seal_read", models.CharField(blank=True, default="", max_length=40)),
                ("seal_read_at", models.DateTimeField(blank=True, null=True)),
                ("seal_decision", models.TextField(blank=True, default="")),
                ("seal_decided_at", models.DateTimeField(blank=True, null=True)),
                ("loaded_at", models.DateTimeField(blank=True, null=True)),
                ("delivered_at", models.DateTimeField(blank=True, null=True)),
                ("cancelled_at", models.DateTimeField(blank=True, null=True)),
                ("cancel_reason", models.TextField(blank=True, default="")),
                ("recorded_at", models.DateTimeField()),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "seal_checked_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "seal_decided_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "seal_read_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "trailer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="loads",
                        to="fleet.unit",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["-recorded_at", "id"], name="load_newest")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("lowest_f__isnull", True),
                            ("highest_f__isnull", True),
                            ("highest_f__gte", models.F("lowest_f")),
                            _connector="OR",
                        ),
                        name="load_range_in_order",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("temperature_class", "dry"), ("setpoint_f__isnull", False), _connector="OR"
                        ),
                        name="load_cold_has_setpoint",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("loaded_at__isnull", True),
                            models.Q(("cancelled_at__isnull", True), ("trailer__isnull", False)),
                            _connector="OR",
                        ),
                        name="load_loaded_in_a_trailer",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("delivered_at__isnull", True),
                            models.Q(("delivered_at__gte", models.F("loaded_at")), ("loaded_at__isnull", False)),
                            _connector="OR",
                        ),
                        name="load_delivered_after_loading",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("seal_checked_at__isnull", True), ("seal_checked_by__isnull", False), _connector="OR"
                        ),
                        name="load_seal_checked_by_someone",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("seal_read_at__isnull", True), ("seal_read_by__isnull", False), _connector="OR"
                        ),
                        name="load_seal_read_by_someone",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("seal_decided_at__isnull", True), ("seal_decided_by__isnull", False), _connector="OR"
                        ),
                        name="load_seal_decided_by_someone",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("delivered_at__isnull", True), ("loaded_at__isnull", False)),
                        fields=("trailer",),
                        name="load_one_in_a_trailer",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Clearance",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("requested_at", models.DateTimeField()),
                ("departure", models.DateTimeField()),
                ("arrival", models.DateTimeField()),
                ("miles", models.DecimalField(blank=True, decimal_places=1, max_digits=7, null=True)),
                (
                    "answer",
                    models.CharField(
                        choices=[
                            ("barred", "barred"),
                            ("after_driver_steps", "after_driver_steps"),
                            ("nothing_known_against", "nothing_known_against"),
                        ],
                        max_length=24,
                    ),
                ),
                ("reasons", models.JSONField()),
                ("unknown", models.JSONField()),
                ("left_open", models.JSONField(default=list)),
                ("valid_until", models.DateTimeField(blank=True, null=True)),
                ("first_to_end_it", models.JSONField(blank=True, null=True)),
                (
                    "driver",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "requested_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="clearances_requested",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                ("units", models.ManyToManyField(related_name="clearances", to="fleet.unit")),
                (
                    "load",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="clearances",
                        to="defects.load",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["-requested_at", "id"], name="clearance_newest"),
                    models.Index(fields=["arrival"], name="clearance_by_arrival"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("arrival__gte", models.F("departure"))),
                        name="clearance_arrival_after_departure",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="LoadAtRisk",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                (
                    "state",
                    models.CharField(choices=[("open", "open"), ("closed", "closed")], default="open", max_length=8),
                ),
                ("opened_at", models.DateTimeField()),
                ("disposition", models.TextField(blank=True, default="")),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "defect",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="loads_at_risk", to="defects.defect"
                    ),
                ),
                (
                    "disposed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "disposition_signature",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="disposition",
                        to="fleet.signature",
                    ),
                ),
                (
                    "load",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="at_risk", to="defects.load"
                    ),
                ),
                (
                    "opened_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "trailer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="loads_at_risk", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "loads at risk",
                "indexes": [models.Index(fields=["-opened_at", "id"], name="load_at_risk_newest")],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("state", "open")), fields=("load",), name="load_at_risk_one_open"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("state", "open"), ("disposition_signature__isnull", False), _connector="OR"
                        ),
                        name="load_at_risk_closed_is_signed",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Measurement",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("point", models.CharField(max_length=80)),
                ("place", models.CharField(blank=True, default="", max_length=40)),
                ("value", models.DecimalField(decimal_places=4, max_digits=12)),
                ("unit_of_measure", models.CharField(max_length=16)),
                ("measured_at", models.DateTimeField()),
                ("task_id", models.UUIDField(blank=True, null=True)),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="measurements", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["unit", "point", "place", "-measured_at"], name="measurement_series")],
            },
        ),
        migrations.AddField(
            model_name="certificate",
            name="measurement",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="certificates",
                to="defects.measurement",
            ),
        ),
        migrations.CreateModel(
            name="Refusal",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("reason", models.TextField()),
                ("refused_at", models.DateTimeField()),
                ("received_at", models.DateTimeField()),
                ("copy", models.TextField()),
                ("copy_hash", models.CharField(max_length=64)),
                ("defects", models.ManyToManyField(blank=True, related_name="refusals", to="defects.defect")),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="refusals",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "signature",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="refusal", to="fleet.signature"
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="refusals", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["unit", "-refused_at"], name="refusal_unit_newest")],
            },
        ),
        migrations.CreateModel(
            name="RepeatedTest",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("passed", models.BooleanField()),
                ("note", models.TextField(blank=True, default="")),
                ("tested_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                (
                    "defect",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="repeated_tests", to="defects.defect"
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="repeated_tests",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["defect", "-tested_at"], name="repeated_test_of_defect")],
            },
        ),
        migrations.CreateModel(
            name="EntryInError",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("reason", models.TextField()),
                ("photo_sha256", models.CharField(blank=True, default="", max_length=64)),
                ("entered_at", models.DateTimeField()),
                (
                    "defect",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="entry_in_error", to="defects.defect"
                    ),
                ),
                (
                    "shown_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="errors_shown",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "signature",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="entry_in_error", to="fleet.signature"
                    ),
                ),
                (
                    "measurement",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries_in_error",
                        to="defects.measurement",
                    ),
                ),
                (
                    "repeated_test",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="entries_in_error",
                        to="defects.repeatedtest",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "entries in error",
            },
        ),
        migrations.AddField(
            model_name="certificate",
            name="repeated_test",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="certificates",
                to="defects.repeatedtest",
            ),
        ),
        migrations.CreateModel(
            name="Report",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("position", models.PositiveSmallIntegerField()),
                ("given_unit", models.CharField(max_length=160)),
                ("checks_schema", models.PositiveSmallIntegerField(default=1)),
                ("checks", models.JSONField()),
                ("faults", models.JSONField(default=list)),
                ("looked_at", models.JSONField(default=list)),
                ("places_asked", models.PositiveSmallIntegerField(default=0)),
                ("places_covered", models.PositiveSmallIntegerField(default=0)),
                ("left_open", models.JSONField(default=list)),
                ("flags", models.JSONField(default=list)),
                ("review_due", models.BooleanField()),
                ("performed_at", models.DateTimeField()),
                ("unit_assigned_at", models.DateTimeField(blank=True, null=True)),
                (
                    "signature",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="reports", to="fleet.signature"
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports",
                        to="fleet.unit",
                    ),
                ),
                (
                    "unit_assigned_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["unit", "-performed_at", "-id"], name="report_unit_newest"),
                    models.Index(
                        condition=models.Q(("review_due", True)),
                        fields=["unit", "-performed_at"],
                        name="report_to_review",
                    ),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("unit_assigned_at__isnull", True), ("unit_assigned_by__isnull", True)),
                            models.Q(
                                ("unit__isnull", False),
                                ("unit_assigned_at__isnull", False),
                                ("unit_assigned_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="report_unit_assigned_whole",
                    )
                ],
            },
        ),
        migrations.AddField(
            model_name="measurement",
            name="report",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="measurements",
                to="defects.report",
            ),
        ),
        migrations.CreateModel(
            name="DriverReview",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("reviewed_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("certificates", models.ManyToManyField(related_name="driver_reviews", to="defects.certificate")),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="driver_reviews",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "signature",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="driver_reviews", to="fleet.signature"
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="driver_reviews", to="fleet.unit"
                    ),
                ),
                ("reports", models.ManyToManyField(related_name="driver_reviews", to="defects.report")),
            ],
            options={
                "indexes": [models.Index(fields=["unit", "-reviewed_at"], name="driver_review_unit_newest")],
            },
        ),
        migrations.AddField(
            model_name="defect",
            name="report",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="defects",
                to="defects.report",
            ),
        ),
        migrations.AddField(
            model_name="certificate",
            name="report",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="certificates",
                to="defects.report",
            ),
        ),
        migrations.CreateModel(
            name="RiskEntry",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "kind",
                    models.CharField(
                        choices=[("reading", "reading"), ("call", "call"), ("decision", "decision")], max_length=12
                    ),
                ),
                ("at", models.DateTimeField()),
                ("text", models.TextField(blank=True, default="")),
                ("return_air_f", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("product_f", models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True)),
                ("recorded_at", models.DateTimeField()),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "risk",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="entries", to="defects.loadatrisk"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "risk entries",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["reading", "call", "decision"])), name="risk_entry_kind_known"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="RoadsideInspection",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField(default=1)),
                ("report_number", models.CharField(max_length=40, unique=True)),
                ("inspected_at", models.DateTimeField()),
                ("officer", models.CharField(max_length=120)),
                ("state", models.CharField(max_length=2)),
                ("level", models.PositiveSmallIntegerField()),
                ("is_clean", models.BooleanField()),
                ("received_at", models.DateTimeField()),
                ("answer_due_on", models.DateField(blank=True, null=True)),
                ("answered_at", models.DateTimeField(blank=True, null=True)),
                ("answer_title", models.CharField(blank=True, default="", max_length=120)),
                (
                    "answer_signature",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="roadside_answer",
                        to="fleet.signature",
                    ),
                ),
                (
                    "answered_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                ("units", models.ManyToManyField(related_name="roadside_inspections", to="fleet.unit")),
            ],
            options={
                "indexes": [models.Index(fields=["-inspected_at", "id"], name="roadside_newest")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answer_due_on__isnull", True), ("is_clean", True)),
                            models.Q(("answer_due_on__isnull", False), ("is_clean", False)),
                            _connector="OR",
                        ),
                        name="roadside_answer_due_unless_clean",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("answered_at__isnull", True),
                            models.Q(
                                ("answer_signature__isnull", False),
                                ("answered_by__isnull", False),
                                ("is_clean", False),
                                models.Q(("answer_title", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="roadside_answer_complete",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Hold",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "number",
                    models.BigIntegerField(db_default=fleet.models.base.Sequence("defects_hold_number"), unique=True),
                ),
                ("kind", models.CharField(choices=[("carrier", "carrier"), ("officer", "officer")], max_length=8)),
                ("reason", models.TextField()),
                ("placed_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("lifted_at", models.DateTimeField(blank=True, null=True)),
                ("lift_reason", models.TextField(blank=True, default="")),
                ("lift_flag", models.CharField(blank=True, default="", max_length=40)),
                (
                    "defect",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="defects.defect",
                    ),
                ),
                (
                    "lift_signature",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lift",
                        to="fleet.signature",
                    ),
                ),
                (
                    "lifted_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds_lifted",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "placed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds_placed",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="holds", to="fleet.unit"
                    ),
                ),
                (
                    "roadside",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="defects.roadsideinspection",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(condition=models.Q(("lifted_at__isnull", True)), fields=["unit"], name="hold_active"),
                    models.Index(fields=["-placed_at", "id"], name="hold_newest"),
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("lifted_at__isnull", True), ("defect__isnull", False), ("kind", "carrier")),
                        fields=("defect",),
                        name="hold_one_active_for_defect",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["carrier", "officer"])), name="hold_kind_known"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "officer"), _negated=True), ("roadside__isnull", False), _connector="OR"
                        ),
                        name="hold_officer_names_inspection",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("lift_signature__isnull", True),
                                ("lifted_at__isnull", True),
                                ("lifted_by__isnull", True),
                            ),
                            models.Q(
                                ("lift_signature__isnull", False),
                                ("lifted_at__isnull", False),
                                ("lifted_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="hold_lift_complete",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("lifted_at__isnull", True), ("lifted_at__gte", models.F("recorded_at")), _connector="OR"
                        ),
                        name="hold_lift_after_record",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="defect",
            name="roadside",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="defects",
                to="defects.roadsideinspection",
            ),
        ),
        migrations.CreateModel(
            name="RoadsideViolation",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("position", models.PositiveSmallIntegerField()),
                ("section", models.CharField(blank=True, default="", max_length=40)),
                ("text", models.TextField(blank=True, default="")),
                ("out_of_service", models.BooleanField()),
                (
                    "defect",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="violations", to="defects.defect"
                    ),
                ),
                (
                    "inspection",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="violations",
                        to="defects.roadsideinspection",
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="violations", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("inspection", "position"), name="roadside_violation_position_unique"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SetAside",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("reason", models.TextField()),
                ("set_aside_at", models.DateTimeField()),
                (
                    "report",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="set_aside", to="defects.report"
                    ),
                ),
                (
                    "signature",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="set_aside", to="fleet.signature"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "reports set aside",
            },
        ),
        migrations.CreateModel(
            name="Sighting",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                (
                    "severity",
                    models.CharField(
                        choices=[
                            ("do_not_move", "do_not_move"),
                            ("before_next_use", "before_next_use"),
                            ("next_shop_visit", "next_shop_visit"),
                            ("watch", "watch"),
                        ],
                        max_length=16,
                    ),
                ),
                (
                    "bars",
                    models.CharField(
                        choices=[
                            ("movement", "movement"),
                            ("food", "food"),
                            ("cold_freight", "cold_freight"),
                            ("nothing", "nothing"),
                        ],
                        max_length=12,
                    ),
                ),
                ("finding", models.CharField(blank=True, default="", max_length=40)),
                ("note", models.TextField(blank=True, default="")),
                ("value", models.DecimalField(blank=True, decimal_places=4, max_digits=12, null=True)),
                ("unit_of_measure", models.CharField(blank=True, default="", max_length=16)),
                ("seen_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                (
                    "how",
                    models.CharField(
                        choices=[("new", "new"), ("seen_again", "seen_again"), ("raised", "raised"), ("late", "late")],
                        max_length=12,
                    ),
                ),
                (
                    "defect",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="sightings", to="defects.defect"
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "report",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sightings",
                        to="defects.report",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["defect", "seen_at"], name="sighting_of_defect")],
            },
        ),
        migrations.CreateModel(
            name="SigningLink",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("digest", models.BinaryField(max_length=32, unique=True)),
                ("made_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                ("used_at", models.DateTimeField(blank=True, null=True)),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                ("defects", models.ManyToManyField(related_name="signing_links", to="defects.defect")),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="signing_links",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "refusal",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="signing_links",
                        to="defects.refusal",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["-made_at", "id"], name="signing_link_newest")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("used_at__isnull", True), ("revoked_at__isnull", True), _connector="OR"),
                        name="signing_link_one_end",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SecondLook",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("finding", models.TextField()),
                ("looked_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "refusal",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="second_look", to="defects.refusal"
                    ),
                ),
                (
                    "signature",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="second_look",
                        to="fleet.signature",
                    ),
                ),
                (
                    "link",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="second_looks",
                        to="defects.signinglink",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="certificate",
            name="link",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="certificates",
                to="defects.signinglink",
            ),
        ),
        migrations.CreateModel(
            name="Walkaround",
            fields=[
                ("id", models.UUIDField(editable=False, primary_key=True, serialize=False)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("pre_trip", "pre_trip"),
                            ("en_route", "en_route"),
                            ("post_trip", "post_trip"),
                            ("pick_up", "pick_up"),
                            ("drop", "drop"),
                            ("other", "other"),
                        ],
                        max_length=12,
                    ),
                ),
                ("body_hash", models.CharField(max_length=64)),
                ("started_at", models.DateTimeField()),
                ("finished_at", models.DateTimeField()),
                ("performed_at", models.DateTimeField()),
                ("received_at", models.DateTimeField()),
                ("offset_minutes", models.SmallIntegerField()),
                ("skew_seconds", models.IntegerField()),
                ("conditions", models.JSONField()),
                ("flags", models.JSONField(default=list)),
                (
                    "catalogue",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="walkarounds",
                        to="defects.catalogueversion",
                    ),
                ),
                (
                    "coupling",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="walkarounds",
                        to="fleet.coupling",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="walkarounds",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "signature",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="walkaround", to="fleet.signature"
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="walkarounds",
                        to="fleet.site",
                    ),
                ),
                (
                    "team_mate",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="walkarounds_as_team_mate",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["person", "-performed_at"], name="walkaround_person_newest")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind__in", ["pre_trip", "en_route", "post_trip", "pick_up", "drop", "other"])
                        ),
                        name="walkaround_kind_known",
                    )
                ],
            },
        ),
        migrations.AddField(
            model_name="report",
            name="walkaround",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="reports", to="defects.walkaround"
            ),
        ),
        migrations.CreateModel(
            name="Photo",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("is_picture", models.BooleanField(db_default=True)),
                ("received_at", models.DateTimeField()),
                (
                    "defect",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="defects.defect",
                    ),
                ),
                (
                    "original",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="photos", to="fleet.storedfile"
                    ),
                ),
                (
                    "received_from",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "walkaround",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="defects.walkaround",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["received_from", "received_at"], name="photo_by_who_sent_it")],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("walkaround", "defect", "original"),
                        name="photo_once_for_its_subject",
                        nulls_distinct=False,
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("defect__isnull", False), ("walkaround__isnull", True)),
                            models.Q(("defect__isnull", True), ("walkaround__isnull", False)),
                            _connector="OR",
                        ),
                        name="photo_of_one_subject",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WorkInProgress",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("task_id", models.UUIDField(unique=True)),
                ("order_id", models.UUIDField()),
                ("order_number", models.BigIntegerField()),
                ("what", models.TextField()),
                ("since", models.DateTimeField()),
                ("undone", models.TextField(blank=True, default="")),
                ("cold_freight_too", models.BooleanField(default=False)),
                ("expected_at", models.DateTimeField(blank=True, null=True)),
                (
                    "unit",
                    models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="fleet.unit"),
                ),
            ],
            options={
                "verbose_name_plural": "works in progress",
                "indexes": [models.Index(fields=["order_id"], name="work_by_order")],
            },
        ),
        migrations.CreateModel(
            name="YardMove",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("from_place", models.CharField(max_length=120)),
                ("to_place", models.CharField(max_length=120)),
                ("reason", models.TextField()),
                ("moved_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="+", to="fleet.site"),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="yard_moves", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="ActiveBar",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("bar", models.TextField()),
                ("seen_at", models.DateTimeField()),
                ("gone_at", models.DateTimeField(blank=True, null=True)),
                (
                    "clearance",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="bars", to="defects.clearance"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("gone_at__isnull", True)),
                        fields=("clearance", "bar"),
                        name="active_bar_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("gone_at__isnull", True), ("gone_at__gte", models.F("seen_at")), _connector="OR"
                        ),
                        name="active_bar_gone_after",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ClearanceChange",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("number", models.PositiveSmallIntegerField()),
                ("barred_at", models.DateTimeField()),
                ("back_at", models.DateTimeField(blank=True, null=True)),
                (
                    "clearance",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="changes", to="defects.clearance"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("clearance", "number"), name="clearance_change_numbered"),
                    models.UniqueConstraint(
                        condition=models.Q(("back_at__isnull", True)),
                        fields=("clearance",),
                        name="clearance_change_one_active",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("back_at__isnull", True), ("back_at__gte", models.F("barred_at")), _connector="OR"
                        ),
                        name="clearance_change_back_after",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="FirmConfirmation",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("firm", models.CharField(max_length=120)),
                ("how", models.TextField()),
                ("brake_evidence", models.TextField(blank=True, default="")),
                ("confirmed_at", models.DateTimeField()),
                (
                    "confirmed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="firms_confirmed",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["-confirmed_at", "id"], name="firm_confirmation_newest")],
            },
        ),
        migrations.CreateModel(
            name="LimitedMove",
            fields=[
                ("id", models.UUIDField(default=common.ids.uuid7, editable=False, primary_key=True, serialize=False)),
                ("found_at_place", models.CharField(max_length=200)),
                ("to_place", models.CharField(max_length=200)),
                ("distance_mi", models.DecimalField(decimal_places=1, max_digits=6)),
                ("why_nearest", models.TextField()),
                ("why_less_hazardous", models.TextField()),
                ("driver_consented_at", models.DateTimeField()),
                ("conditions", models.TextField(blank=True, default="")),
                ("approved_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("end_note", models.TextField(blank=True, default="")),
                (
                    "approved_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "driver",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="limited_moves",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "unit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="limited_moves", to="fleet.unit"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("ends_at__gt", models.F("approved_at"))),
                        name="limited_move_ends_after_start",
                    ),
                    models.CheckConstraint(condition=models.Q(("distance_mi__gt", 0)), name="limited_move_distance"),
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="defect",
            constraint=models.UniqueConstraint(
                condition=models.Q(
                    ("state__in", ["reported", "in_repair", "deferred"]), models.Q(("point", ""), _negated=True)
                ),
                fields=("unit", "point", "place"),
                name="defect_one_open_fault",
                nulls_distinct=False,
            ),
        ),
        migrations.AddConstraint(
            model_name="defect",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("state__in", ["reported", "in_repair", "deferred", "certified", "closed", "entered_in_error"])
                ),
                name="defect_state_known",
            ),
        ),
        migrations.AddIndex(
            model_name="certificate",
            index=models.Index(fields=["defect", "-certified_at"], name="certificate_of_defect"),
        ),
        migrations.AddConstraint(
            model_name="report",
            constraint=models.UniqueConstraint(fields=("walkaround", "position"), name="report_position_unique"),
        ),
        migrations.AddConstraint(
            model_name="report",
            constraint=models.UniqueConstraint(
                condition=models.Q(("unit_assigned_at__isnull", True)),
                fields=("walkaround", "unit"),
                name="report_one_for_each_unit",
            ),
        ),
        migrations.RunSQL(COPY_LEFT, migrations.RunSQL.noop),
        migrations.RunSQL(FUNCTIONS, FUNCTIONS_BACK),
        migrations.RunSQL(TRIGGERS, migrations.RunSQL.noop),
    ]
