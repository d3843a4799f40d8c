#!/bin/sh
# The owner migrates; the web role and the role that purges own nothing. Run by the database's container on an empty
# volume, and by hand after an upgrade that brings a role: it adds what is missing and sets the passwords given. Run by
# hand, nobody has named the superuser: the image's entrypoint does so for itself alone.
set -eu
psql --set=ON_ERROR_STOP=1 --quiet --username="${POSTGRES_USER:-postgres}" --dbname=postgres \
     --set=owner_password="$OWNER_PASSWORD" --set=web_password="$WEB_PASSWORD" \
     --set=purge_password="$PURGE_PASSWORD" <<'SQL'
SELECT format('CREATE ROLE %I LOGIN', wanted)
  FROM unnest(ARRAY['reefer_owner', 'reefer_web', 'reefer_purge']) AS wanted
 WHERE NOT EXISTS (SELECT FROM pg_roles WHERE rolname = wanted)
\gexec
ALTER ROLE reefer_owner PASSWORD :'owner_password';
ALTER ROLE reefer_web PASSWORD :'web_password';
ALTER ROLE reefer_purge PASSWORD :'purge_password';
SELECT $$CREATE DATABASE reefer OWNER reefer_owner TEMPLATE template0 ENCODING 'UTF8' LOCALE 'C.UTF-8'$$
 WHERE NOT EXISTS (SELECT FROM pg_database WHERE datname = 'reefer')
\gexec
SQL
