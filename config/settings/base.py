"""Settings of the service wherever it runs: demo and production differ by the environment only.

Nothing is read from the environment here; that is `config.env`.
"""

from config import env
from config.settings import api
from config.settings.databases import database_settings
from config.settings.logs import logging_settings

ENV = env.load()
BASE_DIR = env.CHECKOUT

SECRET_KEY = ENV.secret_key
DEBUG = False
ALLOWED_HOSTS = ENV.allowed_hosts
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
COMPOSITION = "config.composition.CONTRIBUTIONS"
"""What each app contributes to the facilities of the apps below it."""
RUN_CUT_OFF_BY = "celery.exceptions.SoftTimeLimitExceeded"
"""What a run of a job is cut off by when its time is up; by name, for the web process loads no Celery."""

INSTALLED_APPS = [
    "common.apps.CommonConfig",
    "fleet.apps.FleetConfig",
    "defects.apps.DefectsConfig",
    "workorders.apps.WorkordersConfig",
    "pages.apps.PagesConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.postgres",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    *(["fixtures"] if ENV.local_demo else []),
]
"""The demo's own carrier and commands are not in the image."""

# The order matters: the name of the request and the safe headers stand on every answer, redirects and
# static files included; problems are rendered inside the language and around everything that may fail.
MIDDLEWARE = [
    "common.api.middleware.RequestIdMiddleware",
    "common.api.middleware.SecurityHeadersMiddleware",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "common.api.middleware.ProblemMiddleware",
    "common.api.middleware.EntityTagMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    *(["fixtures.demo.clock.ReplayClockMiddleware"] if ENV.local_demo else []),
]

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {"context_processors": ["fixtures.demo.cast.cast"] if ENV.local_demo else []},
    }
]

AUTH_USER_MODEL = "fleet.Person"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ("username", "name"), "max_similarity": 0.6},  # a name twice is 2/3
    },
    {"NAME": "fleet.services.people.passwords.FewCharactersValidator"},
]
if ENV.local_demo:
    PASSWORD_HASHERS = ["fixtures.demo.passwords.DemoPasswordHasher"]

DATABASES = {"default": database_settings(ENV, ENV.database_url)}
if ENV.purge_database_url is not None:
    DATABASES["purge"] = database_settings(ENV, ENV.purge_database_url)
    """The same database as the role that may delete what is past its retention; nothing else uses it."""

REST_FRAMEWORK = api.REST_FRAMEWORK
SPECTACULAR_SETTINGS = api.SPECTACULAR_SETTINGS
IDEMPOTENCY_STORE = api.IDEMPOTENCY_STORE
API_MAX_BODY_BYTES = api.API_MAX_BODY_BYTES
API_NEVER_STORED = api.API_NEVER_STORED
IMPORT_MAX_BYTES = ENV.import_max_bytes
IMPORT_MAX_ROWS = ENV.import_max_rows
"""A table that is taken in is answered within one request: see docs/decisions/0031."""

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [BASE_DIR / "common" / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

STATIC_URL = "/static/"
STATIC_ROOT = None if ENV.local_demo else ENV.static_root
MEDIA_ROOT = ENV.media_root
FILE_BUCKET = (
    {
        "name": ENV.files_bucket,
        "endpoint": ENV.files_endpoint,
        "region": ENV.files_region,
        "access_key": ENV.files_access_key,
        "secret_key": ENV.files_secret_key,
    }
    if ENV.files_bucket
    else None
)
"""Where files lie in the place of MEDIA_ROOT, if anywhere."""
HISTORY_DIGEST_DIR = ENV.history_digest_dir
POSTGRESQL_PROGRAMS = ENV.postgresql_programs
"""Where pg_dump and pg_restore are, if not where Debian keeps them or on the PATH."""
# The demo serves the documentation's files from where they are installed; production collects and compresses them.
WHITENOISE_USE_FINDERS = ENV.local_demo
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if ENV.local_demo
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}

MAIL_SERVER_SET = bool(ENV.email_host) or ENV.local_demo
"""Whether mail can be sent. The demo alone writes mails to the console and counts them as sent."""
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if ENV.email_host else 'console'}.EmailBackend"
EMAIL_HOST = ENV.email_host
EMAIL_PORT = ENV.email_port
EMAIL_HOST_USER = ENV.email_user
EMAIL_HOST_PASSWORD = ENV.email_password
EMAIL_USE_TLS = ENV.email_security == "starttls"
EMAIL_USE_SSL = ENV.email_security == "tls"
EMAIL_TIMEOUT = 10
WEBHOOKS_TO_PRIVATE = ENV.webhooks_to_private
"""Whether notifications may be posted to plain http and to addresses inside a private network."""
DEFAULT_FROM_EMAIL = ENV.email_sender

REDIS_URL = ENV.redis_url
"""For the worker and the beat alone: the web process never talks to the broker."""

LOCAL_DEMO = ENV.local_demo
SECURE_SSL_REDIRECT = not LOCAL_DEMO
SECURE_REDIRECT_EXEMPT = [r"^livez$", r"^readyz$"]  # asked from inside, past the proxy
SECURE_HSTS_SECONDS = 0 if LOCAL_DEMO else 31_536_000
SECURE_HSTS_INCLUDE_SUBDOMAINS = not LOCAL_DEMO
SECURE_HSTS_PRELOAD = not LOCAL_DEMO
TRUSTED_PROXIES = ENV.trusted_proxies
"""Addresses whose forwarded headers are believed: gunicorn takes the scheme of a request from them, and nobody else."""
X_FRAME_OPTIONS = "DENY"

# The cookies are for the pages alone; the API takes none (docs/decisions/0061).
SESSION_ENGINE = "django.contrib.sessions.backends.signed_cookies"
SESSION_COOKIE_AGE = 365 * 24 * 3600
"""No session outlives the device token that it names; this is the longest that one lasts, in seconds."""
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = not LOCAL_DEMO
SESSION_COOKIE_HTTPONLY = CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "pages.problems.not_sent_from_here"

LOGGING = logging_settings(ENV.log_level, ENV.log_format)
