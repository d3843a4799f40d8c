"""Settings of the suite: those of the service, with a database that the suite itself points somewhere.

Nothing real may be reached from here before `tests/conftest.py` says where the test server is.
"""

from config import env

env.assume(
    {
        "DATABASE_URL": "postgresql://nobody@/not_pointed_anywhere_yet?host=/nonexistent",
        "SECRET_KEY": "known-to-everyone-and-used-by-the-tests-alone",
        "ALLOWED_HOSTS": "testserver,localhost,127.0.0.1",
        "MEDIA_ROOT": "/nonexistent/media",
        "HISTORY_DIGEST_DIR": "/nonexistent/digests",
        "LOCAL_DEMO": "1",
        # Filling a yard of thousands takes longer between two statements than a request may.
        "IDLE_TRANSACTION_TIMEOUT_MS": "60000",
    }
)

from config.settings.base import *  # noqa: E402, F403 - what is assumed must be known first

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"

# A sentence that lacks a fact is a mistake to be found here, where a driver would get the rest of it.
MESSAGES_STRICT = True
WHITENOISE_AUTOREFRESH = True  # looks for a static file when asked, so no folder of them must be there
