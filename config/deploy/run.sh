#!/bin/sh
# On a Debian without containers: run a command as one of the service's processes, with the values of `.env`.
#
#   config/deploy/run.sh migrate|web|worker|beat|backup|postgres COMMAND …
#
# Root starts it, since root alone can read `.env`; the command runs as the user reefer, with `postgres` as that user. Each
# part is given what docker-compose.yml gives the service of its name.
set -eu
part=${1:?migrate, web, worker, beat, backup or postgres}
shift
cd "$(dirname "$0")/../.."

while IFS= read -r line; do
    case $line in [A-Z]*=*) export "${line?}" ;; esac
done < .env

server=127.0.0.1:5432/reefer
user=reefer
export DATABASE_URL="postgresql://reefer_web:$WEB_PASSWORD@$server"
export REDIS_URL="redis://:$REDIS_PASSWORD@127.0.0.1:6379/0"
export TRUSTED_PROXIES=127.0.0.1
export WEB_CONCURRENCY="${WEB_CONCURRENCY:-4}"
case $part in
    migrate)
        export DATABASE_URL="postgresql://reefer_owner:$OWNER_PASSWORD@$server"
        export STATEMENT_TIMEOUT_MS=0 IDLE_TRANSACTION_TIMEOUT_MS=0
        ;;
    worker)
        export PURGE_DATABASE_URL="postgresql://reefer_purge:$PURGE_PASSWORD@$server"
        export REMAP_SIGTERM=SIGQUIT
        ;;
    backup)
        export DATABASE_URL="postgresql://reefer_owner:$OWNER_PASSWORD@$server"
        ;;
    web | beat) ;;
    postgres) user=postgres ;;
    *)
        echo "$part: must be migrate, web, worker, beat, backup or postgres" >&2
        exit 2
        ;;
esac
[ "$part" = postgres ] || unset POSTGRES_PASSWORD OWNER_PASSWORD WEB_PASSWORD PURGE_PASSWORD REDIS_PASSWORD

# As in the Dockerfile.
data=/var/lib/reefer
export DJANGO_SETTINGS_MODULE=config.settings.base PYTHONUNBUFFERED=1
export STATIC_ROOT=$data/static MEDIA_ROOT=$data/media HISTORY_DIGEST_DIR=$data/digests TMPDIR=$data/tmp HOME=$data
export PATH="$PWD/.venv/bin:$PATH"
exec setpriv --reuid="$user" --regid="$user" --init-groups "$@"
