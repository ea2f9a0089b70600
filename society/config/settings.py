"""One file of settings. Every value that a deployment may change comes from the environment.

With nothing set, Commonrow runs embedded: SQLite, periodic work in the web process, letters in a
folder. DATABASE_URL, REDIS_URL and EMAIL_URL make it the full deployment.
"""

from datetime import timedelta
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONCE, NONE, SELF
from django.core.exceptions import ImproperlyConfigured

from society.config import environment

ROOT = Path(__file__).resolve().parents[2]
DATA_FOLDER = Path(environment.text("COMMONROW_DATA", str(ROOT / ".commonrow"))).expanduser().resolve()

DATABASE_URL = environment.text("DATABASE_URL")
REDIS_URL = environment.text("REDIS_URL")
EMBEDDED = not (DATABASE_URL or REDIS_URL)
if bool(DATABASE_URL) != bool(REDIS_URL):
    missing = "REDIS_URL" if DATABASE_URL else "DATABASE_URL"
    raise ImproperlyConfigured(f"{missing}: the full deployment needs DATABASE_URL and REDIS_URL together")

DEBUG = environment.flag("COMMONROW_DEBUG", default=False)
PUBLIC_URL = environment.web_address("COMMONROW_PUBLIC_URL", default="http://127.0.0.1:8000")
BEHIND_TLS = PUBLIC_URL.startswith("https://")
ALLOWED_HOSTS = environment.words("COMMONROW_HOSTS", default="127.0.0.1,localhost,[::1]")
CSRF_TRUSTED_ORIGINS = [PUBLIC_URL]

SECRET_KEY = environment.text("COMMONROW_SECRET_KEY")
SECRET_KEY_FALLBACKS = environment.words("COMMONROW_OLD_SECRET_KEYS")
if not SECRET_KEY:
    if not EMBEDDED:
        raise ImproperlyConfigured(
            "COMMONROW_SECRET_KEY: the full deployment needs a secret of its own; make one with "
            'python -c "import secrets; print(secrets.token_urlsafe(60))"'
        )
    SECRET_KEY = environment.kept_key(DATA_FOLDER / "secret_key")
elif len(SECRET_KEY) < 50 or len(set(SECRET_KEY)) < 5:
    raise ImproperlyConfigured(
        "COMMONROW_SECRET_KEY: too short or too plain; use 50 random characters or more"
    )

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "csp",
    "society",
    "plots",
    "schedules",
    # After the house's own rooms, whose templates come first.
    "society.admin_app.ReadOnlyAdmin",
    "allauth.account",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "society.middleware.PrivatePages",
]
ROOT_URLCONF = "society.config.urls"
WSGI_APPLICATION = "society.config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "society.context.house",
            ],
        },
    }
]

# Immediate transactions: with deferred ones a read-then-write fails 'locked' in spite of the timeout.
SQLITE: dict[str, Any] = {
    "ENGINE": "django.db.backends.sqlite3",
    "NAME": DATA_FOLDER / "commonrow.sqlite3",
    "OPTIONS": {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;",
    },
}


def full_database(url: str) -> dict[str, Any]:
    try:
        return dict(dj_database_url.parse(url, conn_max_age=60, conn_health_checks=True))
    except ValueError as fault:
        raise ImproperlyConfigured(f"DATABASE_URL: {fault}") from fault


DATABASES = {"default": full_database(DATABASE_URL) if DATABASE_URL else SQLITE}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "society.Account"
AUTHENTICATION_BACKENDS = ["allauth.account.auth_backends.AuthenticationBackend"]
LOGIN_URL = LOGOUT_REDIRECT_URL = "account_login"
LOGIN_REDIRECT_URL = "this-week"
PASSWORD_RESET_TIMEOUT = 3600
ACCOUNT_ADAPTER = "schedules.account_adapter.LetterAdapter"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
# An invitation has proved its address; what is added later proves itself by a letter.
ACCOUNT_EMAIL_VERIFICATION = "optional"
ACCOUNT_MAX_EMAIL_ADDRESSES = 3
ACCOUNT_PREVENT_ENUMERATION = True
ACCOUNT_EMAIL_NOTIFICATIONS = True
ACCOUNT_REAUTHENTICATION_REQUIRED = True
ACCOUNT_SESSION_REMEMBER = True
# Log-ins have limits of their own, which slow down and never lock out: society/log_in_limits.py.
ACCOUNT_RATE_LIMITS = {"login": None, "login_failed": None}
ACCOUNT_FORMS = {
    "login": "society.account_forms.LogInForm",
    "reset_password": "society.account_forms.ForgottenForm",
    "reset_password_from_key": "society.account_forms.NewPasswordForm",
    "change_password": "society.account_forms.ChangePasswordForm",
    "add_email": "society.account_forms.AddAddressForm",
    "reauthenticate": "society.account_forms.PasswordAgainForm",
}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

CACHES = {
    "default": (
        {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}
        if REDIS_URL
        else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
    )
}

USE_TZ = True
TIME_ZONE = "UTC"
LANGUAGE_CODE = "en-gb"
USE_I18N = True

STATIC_URL = "static/"
WHITENOISE_USE_FINDERS = True  # one small style sheet: served from where it lies, no collecting step

MAIL_FOLDER = DATA_FOLDER / "mail"  # where letters go without EMAIL_URL
MAIL = environment.mail_server(environment.text("EMAIL_URL"))
EMAIL_BACKEND = "society.mail_lines.SmtpBackend" if MAIL else "society.mail.FolderBackend"
if MAIL:
    EMAIL_HOST, EMAIL_PORT = MAIL.host, MAIL.port
    EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = MAIL.user, MAIL.password
    EMAIL_USE_TLS, EMAIL_USE_SSL = MAIL.starttls, MAIL.tls
EMAIL_TIMEOUT = environment.whole_number("COMMONROW_MAIL_TIMEOUT", default=20, least=1)
MAIL_PER_MINUTE = environment.whole_number("COMMONROW_MAIL_PER_MINUTE", default=0)  # 0: no limit
RETRY_SECONDS = environment.whole_number("COMMONROW_RETRY_SECONDS", default=120, least=1)
DEFAULT_FROM_EMAIL = environment.mail_address("COMMONROW_MAIL_FROM", default="letters@commonrow.example")
MAIL_DOMAIN = DEFAULT_FROM_EMAIL.rpartition("@")[2].rstrip(">")

# Celery: plain intervals in UTC; the delivery row in the database is the queue, messages only nudge.
SWEEP_SECONDS = environment.whole_number("COMMONROW_SWEEP_SECONDS", default=60, least=1)
REPLAN_SECONDS = environment.whole_number("COMMONROW_REPLAN_SECONDS", default=3600, least=1)
LEASE_SECONDS = environment.whole_number("COMMONROW_LEASE_SECONDS", default=300, least=1)
# Whoever runs the server is named to the forecast service; without a contact nothing is asked.
FORECAST_CONTACT = environment.contact("COMMONROW_FORECAST_CONTACT")
FORECAST_URL = environment.secure_address("COMMONROW_FORECAST_URL", default="https://api.met.no")
FORECAST_SECONDS = environment.whole_number("COMMONROW_FORECAST_SECONDS", default=300, least=1)
CELERY_BROKER_URL = REDIS_URL or "memory://"
CELERY_TASK_ALWAYS_EAGER = EMBEDDED
CELERY_TASK_EAGER_PROPAGATES = False
CELERY_TIMEZONE = "UTC"
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
# A run of letters begins none after this, so that a stop of the worker cuts no letter short.
LETTERS_RUN_SECONDS = 25
CELERY_WORKER_SOFT_SHUTDOWN_TIMEOUT = LETTERS_RUN_SECONDS + EMAIL_TIMEOUT + 5
CELERY_TASK_SOFT_TIME_LIMIT = CELERY_WORKER_SOFT_SHUTDOWN_TIMEOUT + 10
CELERY_TASK_TIME_LIMIT = CELERY_TASK_SOFT_TIME_LIMIT + 30
CELERY_RESULT_BACKEND = None
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_WORKER_MAX_TASKS_PER_CHILD = 500
CELERY_WORKER_MAX_MEMORY_PER_CHILD = 600_000  # KiB; looked at between tasks
# Longer than any task may take, or Redis would hand it out a second time while it runs.
CELERY_BROKER_TRANSPORT_OPTIONS = {"visibility_timeout": 3600}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TASK_ROUTES = {
    "schedules.tasks.plans_refresh": {"queue": "planning"},
    "schedules.tasks.grounds_check": {"queue": "planning"},
    "schedules.tasks.layouts_refresh": {"queue": "planning"},
    "schedules.tasks.layout_propose": {"queue": "planning"},
    "schedules.tasks.forecasts_refresh": {"queue": "planning"},
}
CELERY_TASK_DEFAULT_QUEUE = "letters"
CELERY_BEAT_SCHEDULE_FILENAME = str(DATA_FOLDER / "beat-schedule")
CELERY_BEAT_SCHEDULE = {
    "letters: write down what falls due": {
        "task": "schedules.tasks.deliveries_plan",
        "schedule": timedelta(seconds=SWEEP_SECONDS),
    },
    "letters: send what is due": {
        "task": "schedules.tasks.deliveries_send",
        "schedule": timedelta(seconds=SWEEP_SECONDS),
    },
    "plans: work out every sowing again": {
        "task": "schedules.tasks.plans_refresh",
        "schedule": timedelta(seconds=REPLAN_SECONDS),
    },
    "ground: judge everything again where it is night": {
        "task": "schedules.tasks.grounds_check",
        "schedule": timedelta(seconds=REPLAN_SECONDS),
    },
    "layouts: look where it is night and wishes wait": {
        "task": "schedules.tasks.layouts_refresh",
        "schedule": timedelta(minutes=15),
    },
    "forecasts: ask where an answer has expired": {
        "task": "schedules.tasks.forecasts_refresh",
        "schedule": timedelta(seconds=FORECAST_SECONDS),
    },
}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "UNAUTHENTICATED_USER": None,
    "EXCEPTION_HANDLER": "schedules.problems.problem_response",
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Commonrow",
    "VERSION": "1",
    "DESCRIPTION": "What a noticeboard screen reads, and how it is paired. Version 1 only ever gains fields.",
    "OAS_VERSION": "3.1.1",
    "POSTPROCESSING_HOOKS": [],
}

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "style-src": [SELF, NONCE],
        "script-src": [SELF],
        "img-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_HTTPONLY = True
CSRF_COOKIE_HTTPONLY = True
SECURE_SSL_REDIRECT = BEHIND_TLS
SECURE_REDIRECT_EXEMPT = [r"^healthz$", r"^readyz$", r"^api/"]  # probes come plain; the API never redirects
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = BEHIND_TLS
if BEHIND_TLS:
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-sessionid", "__Host-csrftoken"
    SECURE_HSTS_SECONDS = 31_536_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = True
if environment.flag("COMMONROW_TRUST_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

LOG_LEVEL = environment.one_of(
    "COMMONROW_LOG_LEVEL", ("DEBUG", "INFO", "WARNING", "ERROR", "CRITICAL"), default="WARNING"
)
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    # Refusals are everyday, and their addresses may carry a one-time link: only faults of ours are logged.
    "loggers": {"django.request": {"level": "ERROR"}},
    "root": {"handlers": ["console"], "level": LOG_LEVEL},
}

PRETEND_TODAY = environment.day("COMMONROW_TODAY")
