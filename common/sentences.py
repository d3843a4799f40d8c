"""The sentences of the codes that `common` itself raises, and the titles of HTTP statuses."""

from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Sentences, wording

STATUS_TITLES: dict[int, Promise] = {
    400: _("Bad request"),
    401: _("Authentication required"),
    403: _("Forbidden"),
    404: _("Not found"),
    405: _("Method not allowed"),
    406: _("Not acceptable"),
    409: _("Conflict"),
    412: _("Precondition failed"),
    413: _("Content too large"),
    414: _("Content too large"),
    415: _("Unsupported media type"),
    422: _("Validation failed"),
    428: _("Precondition required"),
    429: _("Too many requests"),
    431: _("Content too large"),
    500: _("Internal server error"),
    503: _("Service unavailable"),
}

MESSAGES: Messages = {
    # The request itself
    "bad_request": _("The request cannot be read."),
    "parse_error": _("The body does not match its Content-Type."),
    "request_too_large": _("The request is too large."),
    "body_too_large": _("The body is larger than {max_bytes} bytes."),
    "body_not_utf8": _("The body is not UTF-8; the first wrong byte is at position {position}."),
    "json_malformed": _("The body is not JSON; reading stopped at line {line}, column {column}."),
    "json_too_deep": _("The body is nested more than {max_depth} levels deep."),
    "json_not_an_object": _("The body must be one JSON object."),
    "json_duplicate_key": _("Duplicate key {name}."),
    "json_number_unusable": _(
        "A number must be finite, written in at most {max_digits} characters and of ordinary size."
    ),
    "unknown_parameter": _("Unknown query parameters: {unknown}. Use: {known}."),
    "repeated_parameter": _("Give the query parameter {name} only once."),
    "invalid_parameter": _("A query parameter has an invalid value."),
    "bad_cursor": _("The cursor does not belong to this list. Start again without it."),
    "page_limit": _("The limit must be a whole number from 1 to {max_limit}."),
    "not_acceptable": _("No media type in the Accept header is available."),
    "unsupported_media_type": _("This Content-Type is not supported."),
    "method_not_allowed": _("{method} is not allowed here."),
    # Who asks
    "not_authenticated": _("Sign in first: send a token in the Authorization header."),
    "authentication_failed": _("The token is invalid or has expired."),
    "permission_denied": _("You are not allowed to do this."),
    "role_not_allowed": _("Your roles do not allow this. It is for: {roles}."),
    "not_found": _("Not found, or not visible to you."),
    # Repeating and racing
    "idempotency_key_required": _("Send an Idempotency-Key header, so that a retry does no harm."),
    "idempotency_key_malformed": _("The Idempotency-Key header must be 1 to {max_length} visible ASCII characters."),
    "idempotency_key_reused": _("This Idempotency-Key was used for another request. Use a new one."),
    "idempotency_key_in_use": _("A request with this key is still in progress. Retry shortly."),
    "if_match_required": _("Send an If-Match header with the ETag of the version that you saw."),
    "if_match_malformed": _("The If-Match header must hold one strong ETag as it was sent to you."),
    "version_changed": _("It has changed since you read it. Read the current version first."),
    "row_in_the_way": _("A conflicting record already exists."),
    "not_stored": _("It could not be stored. Send it again in {retry_after} seconds."),
    "throttled": _("Too many requests. Wait and try again."),
    # The service itself
    "error": _("An internal error occurred. It is logged under the request ID."),
    "database_busy": _("The service is busy. Try again in {retry_after} seconds."),
    "database_unavailable": _("The service cannot reach its database. Try again in {retry_after} seconds."),
    # The proxy in front says this one, config/deploy/nginx.conf.
    "service_unreachable": _("The service is not responding. Try again in {retry_after} seconds."),
    # Moves between states
    "action_not_allowed": _("Not possible while it is {state}."),
    "required_fields_missing": _("Required fields are missing."),
    # One value each: the framework's own codes keep its wording where it answers, and are explained by these
    "invalid": _("Invalid value."),
    "row_unreadable": _("This row cannot be shown. Tell an administrator its key."),
    "required": _("This field is required."),
    "null": _("This field may not be null."),
    "blank": _("This field may not be empty."),
    "empty": _("This list may not be empty."),
    "unknown_field": _("Unknown field. Use: {known}."),
    "not_a_list": _("A list is expected."),
    "not_a_dict": _("An object is expected."),
    "not_text": _("A string is expected."),
    "not_a_flag": _("Must be true or false."),
    "not_whole": _("A whole number is expected."),
    "not_a_decimal": _("A decimal number is expected, preferably as a string such as 12.5."),
    "not_an_instant": _("A time with its offset is expected, such as 2026-11-25T06:10:00-06:00."),
    "instant_without_offset": _("The time lacks its offset from UTC. Write it as 2026-11-25T06:10:00-06:00."),
    "not_a_day": _("A date is expected, such as 2026-11-25."),
    "not_uuid": _("A UUID is expected, such as 01a21200-0000-7000-8000-000000000005."),
    "not_sha256": _("A SHA-256 as 64 lower-case hexadecimal digits is expected."),
    "invalid_choice": _("Invalid choice. Use one of: {allowed}."),
    "invalid_image": _("The file is not an image that can be read."),
    "does_not_exist": _("The record named does not exist."),
    "unique": _("This value is already in use."),
    "too_many": _("At most {most} may be sent at once."),
    "max_length": _("The value is too long."),
    "min_length": _("The value is too short."),
    "max_value": _("The value is too high."),
    "min_value": _("The value is too low."),
    "max_digits": _("The number has too many digits."),
    "max_decimal_places": _("The number has too many decimal places."),
    "max_whole_digits": _("The number has too many digits before the point."),
    "text_nul": _("The text contains a NUL character."),
    "text_surrogate": _("The text contains a lone surrogate."),
    "text_control": _("The text contains a control character."),
    "text_too_long": _("The text has {length} characters; the limit is {max_length}."),
}
SENTENCES = Sentences((MESSAGES,))


def words(*codes: str) -> dict[str, Any]:
    """Return these codes' sentences as a serializer's field keeps them, worded when used; UnknownCodeError."""
    return {code: wording(code).template for code in codes}
