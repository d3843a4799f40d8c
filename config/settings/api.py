"""Settings of the API: everything is refused until a view says otherwise."""

REST_FRAMEWORK: dict[str, object] = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["fleet.api.requests.authentication.DeviceTokenAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["common.api.permissions.RolePermission"],
    "DEFAULT_PARSER_CLASSES": ["common.api.parsers.StrictJSONParser"],
    "DEFAULT_RENDERER_CLASSES": ["common.api.answers.AnswerRenderer"],
    "DEFAULT_PAGINATION_CLASS": "common.api.pagination.CursorPagination",
    "DEFAULT_SCHEMA_CLASS": "common.api.schema.ProblemAutoSchema",
    "EXCEPTION_HANDLER": "common.api.problems.exception_handler",
    "COERCE_DECIMAL_TO_STRING": True,
    "UNAUTHENTICATED_USER": None,
    "SCHEMA_COERCE_PATH_PK": False,
}

SPECTACULAR_SETTINGS: dict[str, object] = {
    "PATH_CONVERTER_OVERRIDES": {"key": {"type": "string", "format": "uuid"}},
    "TITLE": "Clearance of refrigerated combinations",
    "DESCRIPTION": (
        "Whether a tractor, a trailer and its cooling unit may roll now, with this load, and still be legal "
        "and cold on arrival. The service answers with everything it knows against it; it never says that a "
        "vehicle is safe."
    ),
    "VERSION": "1",
    "OAS_VERSION": "3.1.1",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    "REDOC_DIST": "SIDECAR",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "ENUM_GENERATE_CHOICE_DESCRIPTION": False,
    "POSTPROCESSING_HOOKS": [
        "config.closed_sets.name_closed_sets",
        "config.parameters.describe_parameters",
        "config.examples.add_examples",
        "common.api.problem_schema.sort_document",
    ],
}

IDEMPOTENCY_STORE = "fleet.services.records.stored_responses.STORE"
API_NEVER_STORED = frozenset(
    {
        # sign-ins and what serves in their place
        "me", "tokens", "feeds", "webhooks", "signing-link", "signing-links",
        # people, their documents and their work
        "people", "qualifications", "documents", "expiries", "notices", "on-call", "labor-entries", "driver-reviews",
        "firm-confirmations", "legal-holds", "deletions", "audit-rehearsals",
        # tables and files that name them
        "exports", "imports", "file", "history",
    }
)  # fmt: skip
"""Parts of addresses whose answers no device keeps: they tell of people, documents and sign-ins."""
API_MAX_BODY_BYTES = 1024 * 1024
