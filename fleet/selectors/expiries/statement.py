"""The one statement behind the expiry list: what ends and what is missing, in order, a stretch at a time."""

from psycopg import sql

_LIST = """
WITH grace AS (
    SELECT * FROM unnest(
               %(grace_kinds)s::text[], %(grace_ends)s::date[], %(grace_last)s::date[], %(grace_count)s::date[])
               AS grace (kind, ends_on, last_day, counts_to)
), expected AS (
    SELECT * FROM unnest(
               %(need_subjects)s::text[], %(need_kinds)s::text[], %(need_states)s::text[], %(need_conditions)s::text[])
               AS expected (subject, kind, state, conditions)
), met AS (
    SELECT shown.person_id, array_agg(shown.condition) AS conditions
      FROM (SELECT held.person_id, scope.condition
              FROM fleet_qualification AS held
              JOIN unnest(%(scopes)s::text[], %(scope_conditions)s::text[]) AS scope (name, condition)
                ON scope.name = held.scope
             WHERE held.starts_on <= %(today)s AND (held.ends_on IS NULL OR held.ends_on >= %(today)s)
             UNION ALL
            SELECT held.person_id, role.condition
              FROM fleet_personrole AS held
              JOIN unnest(%(roles)s::text[], %(role_conditions)s::text[]) AS role (name, condition)
                ON role.name = held.role
             WHERE held.starts_on <= %(today)s AND (held.ends_on IS NULL OR held.ends_on >= %(today)s)) AS shown
     GROUP BY shown.person_id
), subject AS (
    SELECT unit.id AS key, unit.kind AS subject, unit.number AS name, unit.home_site_id AS site_id,
           '{{}}'::text[] AS conditions
      FROM fleet_unit AS unit
     WHERE unit.retired_on IS NULL AND %(person)s::uuid IS NULL
       AND (%(unit)s::uuid IS NULL OR unit.id = %(unit)s::uuid)
     UNION ALL
    SELECT person.id, 'person', person.name, person.home_site_id, COALESCE(met.conditions, '{{}}')
      FROM fleet_person AS person LEFT JOIN met ON met.person_id = person.id
     WHERE person.left_on IS NULL AND (%(all_people)s OR person.id = %(me)s) AND %(unit)s::uuid IS NULL
       AND (%(person)s::uuid IS NULL OR person.id = %(person)s::uuid)
     UNION ALL
    SELECT %(nobody)s::uuid, 'carrier', '', NULL, '{{}}'
     WHERE %(unit)s::uuid IS NULL AND %(person)s::uuid IS NULL
), asked AS (
    SELECT subject.*, site.code AS site
      FROM subject LEFT JOIN fleet_site AS site ON site.id = subject.site_id
     WHERE (%(subject)s::text IS NULL OR subject.subject = %(subject)s)
       AND (%(site)s::text IS NULL OR site.code = %(site)s)
       AND (%(any_responsible)s OR (%(holds_somewhere)s AND (
               subject.site_id IS NULL
               OR subject.site_id = ANY (%(own_sites)s::uuid[])
               OR (NOT %(covered_everywhere)s AND subject.site_id <> ALL (%(covered_sites)s::uuid[])))))
), held AS (
    SELECT paper.id, paper.kind, paper.state, COALESCE(paper.unit_id, paper.person_id, %(nobody)s::uuid) AS key,
           COALESCE(grace.last_day, read.ends) AS last_day, COALESCE(grace.counts_to, read.ends) AS counts_to
      FROM fleet_document AS paper
      LEFT JOIN grace ON grace.kind = paper.kind AND grace.ends_on = paper.ends_on
     CROSS JOIN LATERAL (
           SELECT CASE WHEN paper.ends_on_month IS NOT NULL AND (%(by_month_end)s OR paper.program = %(state_program)s)
                       THEN paper.ends_on_month ELSE paper.ends_on END AS ends) AS read
     WHERE paper.replaced_at IS NULL AND paper.ends_on IS NOT NULL
       AND (%(until)s::date IS NULL OR paper.ends_on <= %(until)s::date)
       AND (%(kind)s::text IS NULL OR paper.kind = %(kind)s)
), listed AS (
    SELECT CASE WHEN held.last_day < %(today)s THEN 0 ELSE 2 END AS rank,
           CASE WHEN held.counts_to >= %(today)s THEN held.counts_to ELSE held.last_day END AS day,
           held.kind, asked.name, held.state, held.id, asked.key, asked.subject, asked.site, asked.site_id
      FROM held JOIN asked ON asked.key = held.key
     WHERE %(until)s::date IS NULL OR held.counts_to <= %(until)s::date
     UNION ALL
    SELECT 1, DATE '0001-01-01', expected.kind, asked.name, expected.state,
           md5(concat_ws(' ', asked.key, expected.kind, expected.state))::uuid,
           asked.key, asked.subject, asked.site, asked.site_id
      FROM asked JOIN expected ON expected.subject = asked.subject
     WHERE string_to_array(expected.conditions, ' ') <@ asked.conditions
       AND (%(kind)s::text IS NULL OR expected.kind = %(kind)s)
       AND NOT EXISTS (
           SELECT 1 FROM fleet_document AS paper
            WHERE paper.replaced_at IS NULL AND paper.kind = expected.kind
              AND COALESCE(paper.unit_id, paper.person_id, %(nobody)s::uuid) = asked.key
              AND (expected.state = '' OR paper.state = expected.state))
), page AS (
    SELECT * FROM listed
     WHERE %(everything)s OR (rank, day, kind, name, state, id) {beyond}
           (%(rank)s, %(day)s::date, %(at_kind)s, %(at_name)s, %(at_state)s, %(at_id)s::uuid)
     ORDER BY rank {way}, day {way}, kind {way}, name {way}, state {way}, id {way}
     LIMIT %(limit)s
)
SELECT page.rank, page.day, page.kind, page.name, page.state, page.id, page.key, page.subject, page.site, page.site_id,
       unit.owner, paper.number, paper.starts_on, paper.ends_on, paper.ends_on_month, paper.program, paper.recorded_at,
       paper.version
  FROM page
  LEFT JOIN fleet_unit AS unit ON unit.id = page.key
  LEFT JOIN fleet_document AS paper ON page.rank <> 1 AND paper.id = page.id
 ORDER BY page.rank {way}, page.day {way}, page.kind {way}, page.name {way}, page.state {way}, page.id {way}
"""

FORWARDS = sql.SQL(_LIST).format(beyond=sql.SQL(">"), way=sql.SQL("ASC"))
BACKWARDS = sql.SQL(_LIST).format(beyond=sql.SQL("<"), way=sql.SQL("DESC"))
