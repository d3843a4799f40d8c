# The image of the web process, the worker and the beat: the same files, another command each.
# That there is a slim image of Python 3.11 on Debian trixie is from memory.
FROM python:3.11-slim-trixie AS packages
WORKDIR /build
COPY requirements/production.txt ./
RUN python -m venv /opt/venv \
    && /opt/venv/bin/pip install --no-cache-dir --no-input --disable-pip-version-check --require-hashes \
       -r production.txt

FROM python:3.11-slim-trixie
ENV PATH=/opt/venv/bin:$PATH \
    PYTHONUNBUFFERED=1 \
    PYTHONDONTWRITEBYTECODE=1 \
    DJANGO_SETTINGS_MODULE=config.settings.base \
    STATIC_ROOT=/srv/static \
    MEDIA_ROOT=/srv/media \
    HISTORY_DIGEST_DIR=/srv/digests
# The programs for backups, of the server's version.
RUN apt-get -qq update \
    && apt-get -qq install --yes --no-install-recommends postgresql-client-17 \
    && rm -rf /var/lib/apt/lists/*
RUN useradd --system --uid 10001 --no-create-home --shell /usr/sbin/nologin clearance \
    && install --directory --owner=clearance --group=clearance /srv/static /srv/media /srv/digests
COPY --from=packages /opt/venv /opt/venv
WORKDIR /srv/app
COPY manage.py ./
COPY common common
COPY fleet fleet
COPY defects defects
COPY workorders workorders
COPY pages pages
COPY config config
USER clearance
# Connects to nothing and signs nothing: address and key only satisfy the settings.
RUN DATABASE_URL=postgresql:///unused ALLOWED_HOSTS=unused \
    SECRET_KEY=unused-while-the-image-is-built-and-nowhere-kept-in-it \
    python manage.py collectstatic --no-input --verbosity=0
EXPOSE 8000
CMD ["gunicorn", "--config=python:config.gunicorn", "config.wsgi"]
