#!/bin/sh
# Run once by the database's container, on an empty volume: the owner migrates, the web role and the
# role that purges own nothing. On a volume that is older than a role, its line is run by hand.
set -eu
psql --set=ON_ERROR_STOP=1 --username="$POSTGRES_USER" --dbname=postgres \
     --set=owner_password="$OWNER_PASSWORD" --set=web_password="$WEB_PASSWORD" \
     --set=purge_password="$PURGE_PASSWORD" <<'SQL'
CREATE ROLE reefer_owner LOGIN PASSWORD :'owner_password';
CREATE ROLE reefer_web LOGIN PASSWORD :'web_password';
CREATE ROLE reefer_purge LOGIN PASSWORD :'purge_password';
CREATE DATABASE reefer OWNER reefer_owner;
SQL
