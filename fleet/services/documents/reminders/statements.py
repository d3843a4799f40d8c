"""The statements that owe reminders set by set, since a million papers are too many to fetch. Decides nothing.

Notices are inserted in one order (end day or unit, then paper, then person), so that sweeps at once never wait for
each other in a circle; the unique key of a notice lets only one of them owe it.
"""

UUID7 = """encode(set_bit(set_bit(overlay(uuid_send(gen_random_uuid())
    PLACING substring(int8send(floor(extract(epoch FROM clock_timestamp()) * 1000)::bigint) FROM 3) FROM 1 FOR 6),
    52, 1), 53, 1), 'hex')::uuid"""
"""A UUIDv7 (RFC 9562, 5.7): 48 bits of milliseconds before what `gen_random_uuid` gives, the version's bits set."""

_INSERT = """
    INSERT INTO fleet_notice (id, kind, dedupe_key, person_id, unit_id, subject_id, step, code, facts, urgent, owed_at,
                              snooze_reason)
    SELECT <key>, %(kind)s, concat(%(kind)s, ':', due.subject, ':', due.step, ':', due.person), due.person,
           due.unit_id, due.subject, due.step, due.code, due.facts, false, %(now)s, ''
      FROM (SELECT * FROM due ORDER BY place, subject, step, person) AS due
    ON CONFLICT (dedupe_key) DO NOTHING
    RETURNING 1
""".replace("<key>", UUID7)

_STANDING_PAPERS = """
    SELECT id, kind, program, state, ends_on, ends_on_month, unit_id, person_id
      FROM fleet_document
     WHERE replaced_at IS NULL AND ends_on BETWEEN %(first)s AND %(last)s
       AND (ends_on, id) > (%(after_day)s, %(after_id)s)
     ORDER BY ends_on, id
     LIMIT %(size)s
"""

_STANDING_QUALIFICATIONS = """
    SELECT held.id, concat(%(qualification)s::text, held.scope) AS kind, '' AS program, '' AS state, held.ends_on,
           NULL::date AS ends_on_month, NULL::uuid AS unit_id, held.person_id
      FROM fleet_qualification AS held
     WHERE held.ends_on BETWEEN %(first)s AND %(last)s
       AND NOT EXISTS (SELECT 1 FROM fleet_qualification AS later
                        WHERE later.person_id = held.person_id AND later.scope = held.scope
                          AND (later.ends_on IS NULL OR (later.ends_on, later.id) > (held.ends_on, held.id)))
"""

_ENDING = """
WITH page AS MATERIALIZED (<standing>), rung AS (
    SELECT * FROM unnest(%(kinds)s::text[], %(programs)s::text[], %(ends)s::date[], %(months)s::date[],
                         %(steps)s::text[], %(codes)s::text[], %(facts)s::jsonb[])
                  AS rung (kind, program, ends_on, ends_on_month, step, code, facts)
), told AS (
    SELECT * FROM unnest(%(sites)s::uuid[], %(people)s::uuid[]) AS told (site, person)
), stepped AS MATERIALIZED (
    SELECT page.ends_on AS place, page.id AS subject, page.unit_id, page.person_id, rung.step, rung.code,
           rung.facts || CASE WHEN page.state = '' THEN '{}'::jsonb ELSE jsonb_build_object('paper',
               jsonb_build_object('code', 'papers_state', 'facts',
                   jsonb_build_object('paper', rung.facts -> 'paper', 'state', page.state))) END AS facts
      FROM page
      JOIN rung ON rung.kind = page.kind AND rung.program = page.program AND rung.ends_on = page.ends_on
           AND rung.ends_on_month IS NOT DISTINCT FROM page.ends_on_month
), whose AS (
    SELECT stepped.*, coalesce(unit.home_site_id, %(no_site)s) AS site, jsonb_build_object('code', 'papers_unit',
               'facts', jsonb_build_object('unit', concat_ws('@', unit.number, nullif(unit.owner, '')))) AS whose
      FROM stepped JOIN fleet_unit AS unit ON unit.id = stepped.unit_id
     WHERE unit.retired_on IS NULL
    UNION ALL
    SELECT stepped.*, coalesce(person.home_site_id, %(no_site)s), jsonb_build_object('code', 'papers_person',
               'facts', jsonb_build_object('person', person.name))
      FROM stepped JOIN fleet_person AS person ON person.id = stepped.person_id
     WHERE person.left_on IS NULL
    UNION ALL
    SELECT stepped.*, %(no_site)s, '{"code": "papers_carrier", "facts": {}}'::jsonb
      FROM stepped WHERE unit_id IS NULL AND person_id IS NULL
), owing AS MATERIALIZED (
    SELECT place, subject, unit_id, person_id, step, code, site, facts || jsonb_build_object('whose', whose) AS facts
      FROM whose
), due AS (
    SELECT owing.*, told.person FROM owing JOIN told ON told.site = owing.site
    UNION ALL
    SELECT owing.*, owing.person_id FROM owing WHERE owing.person_id IS NOT NULL
), owed AS (<insert>)
SELECT (SELECT count(*) FROM owed), (SELECT count(*) FROM page), page.ends_on, page.id
  FROM page ORDER BY page.ends_on DESC, page.id DESC LIMIT 1
""".replace("<insert>", _INSERT)

PAPERS = _ENDING.replace("<standing>", _STANDING_PAPERS)
"""One page of standing papers in service, whose rungs and readers are given as columns.

Gives how many notices were owed, how many papers looked at, and the last of them; no row when there was none left.
"""

QUALIFICATIONS = _ENDING.replace("<standing>", _STANDING_QUALIFICATIONS)
"""All qualifications whose end is near or over and that nothing newer stands in for; gives the same."""

MISSING = """
WITH page AS MATERIALIZED (
    SELECT id, kind, number, owner, home_site_id FROM fleet_unit
     WHERE retired_on IS NULL AND id > %(after_id)s ORDER BY id LIMIT %(size)s
), need AS (
    SELECT * FROM unnest(%(subjects)s::text[], %(kinds)s::text[], %(states)s::text[], %(steps)s::text[],
                         %(facts)s::jsonb[]) AS need (subject, kind, state, step, facts)
), told AS (
    SELECT * FROM unnest(%(sites)s::uuid[], %(people)s::uuid[]) AS told (site, person)
), due AS (
    SELECT 0 AS place, page.id AS subject, page.id AS unit_id, need.step, %(code)s AS code, told.person,
           need.facts || jsonb_build_object('whose', jsonb_build_object('code', 'papers_unit', 'facts',
               jsonb_build_object('unit', concat_ws('@', page.number, nullif(page.owner, ''))))) AS facts
      FROM page
      JOIN need ON need.subject = page.kind
      JOIN told ON told.site = coalesce(page.home_site_id, %(no_site)s)
     WHERE NOT EXISTS (SELECT 1 FROM fleet_document AS held
                        WHERE held.unit_id = page.id AND held.kind = need.kind AND held.replaced_at IS NULL
                          AND need.state IN ('', held.state))
), owed AS (<insert>)
SELECT (SELECT count(*) FROM owed), (SELECT count(*) FROM page), page.id
  FROM page ORDER BY page.id DESC LIMIT 1
""".replace("<insert>", _INSERT)
"""One page of units in service that lack a paper they should have; gives the same, without a day."""
