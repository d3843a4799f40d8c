"""The sentences of the codes that `common` itself raises, and the titles of HTTP statuses."""

from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from common.messages import register, wording

STATUS_TITLES: dict[int, Promise] = {
    400: _("The request cannot be read"),
    401: _("Sign-in needed"),
    403: _("Not allowed"),
    404: _("Not found"),
    405: _("Not possible here"),
    406: _("No such form of answer"),
    409: _("Not possible at present"),
    412: _("Changed meanwhile"),
    413: _("Too large"),
    414: _("Too large"),
    415: _("Not a form that is read here"),
    422: _("Values refused"),
    428: _("Version needed"),
    429: _("Too often"),
    431: _("Too large"),
    500: _("Error in the service"),
    503: _("Not available at present"),
}

# The request itself
register("bad_request", _("The request cannot be read."))
register("parse_error", _("The body cannot be read in the form that its Content-Type names."))
register("request_too_large", _("The request is larger than is taken here."))
register("body_too_large", _("The body is larger than {max_bytes} bytes."))
register("body_not_utf8", _("The body is not UTF-8; the first wrong byte is at position {position}."))
register("json_malformed", _("The body is not JSON; reading stopped at line {line}, column {column}."))
register("json_too_deep", _("The body is nested more than {max_depth} levels deep."))
register("json_not_an_object", _("The body must be one JSON object."))
register("json_duplicate_key", _("The name {name} appears twice in one object."))
register(
    "json_number_unusable",
    _("A number must be finite, written in at most {max_digits} characters and of ordinary size."),
)
register("unknown_parameter", _("These query parameters are not known here: {unknown}. Known are: {known}."))
register("repeated_parameter", _("The query parameter {name} may be given once only."))
register("invalid_parameter", _("A query parameter has a value that is not allowed."))
register("bad_cursor", _("The cursor is not one of this list; start again without it."))
register("page_limit", _("The limit must be a whole number from 1 to {max_limit}."))
register("not_acceptable", _("The answer cannot be given in any of the forms that the Accept header allows."))
register("unsupported_media_type", _("A body of this Content-Type is not read here."))
register("method_not_allowed", _("{method} is not possible here."))

# Who asks
register("not_authenticated", _("Sign in first: send a token in the Authorization header."))
register("authentication_failed", _("The token is not valid, or no longer."))
register("permission_denied", _("You are not allowed to do this."))
register("role_not_allowed", _("Your roles do not allow this. It is for: {roles}."))
register("not_found", _("There is nothing here that you may see."))

# Repeating and racing
register("idempotency_key_required", _("Send an Idempotency-Key header, so that sending again does no harm."))
register(
    "idempotency_key_malformed", _("The Idempotency-Key header must be 1 to {max_length} visible ASCII characters.")
)
register("idempotency_key_reused", _("This Idempotency-Key was used for another request; take a new one."))
register("idempotency_key_in_use", _("The same request is just being answered; ask again shortly."))
register("if_match_required", _("Send an If-Match header with the ETag of the version that you saw."))
register("if_match_malformed", _("The If-Match header must hold one strong ETag as it was sent to you."))
register("version_changed", _("It was changed since you saw it; look at the present version first."))
register("row_in_the_way", _("An entry that is there already stands in the way."))
register("not_stored", _("It could not be stored; this has been recorded. Send it again in {retry_after} seconds."))
register("throttled", _("It was asked too often; wait and try again."))

# The service itself
register("error", _("An error occurred in the service; it has been recorded under the request's number."))
register("database_busy", _("The service is busy; try again in {retry_after} seconds."))
register("database_unavailable", _("The service cannot reach its database; try again in {retry_after} seconds."))
# The proxy in front says this one, config/deploy/nginx.conf.
register("service_unreachable", _("The service does not answer at present; try again in {retry_after} seconds."))

# Moves between states
register("action_not_allowed", _("This cannot be done now: it is in the state {state}."))
register("required_fields_missing", _("Fields that this needs are missing."))

# One value each: the framework's own codes keep its wording where it answers, and are explained by these
register("invalid", _("A value is refused."))
register("row_unreadable", _("This row cannot be shown. Tell an administrator its key."))
register("required", _("This field is needed."))
register("null", _("This field may not be null."))
register("blank", _("This field may not be empty."))
register("empty", _("This list may not be empty."))
register("unknown_field", _("This field is not known here. Known are: {known}."))
register("not_a_list", _("A list is expected."))
register("not_a_dict", _("An object is expected."))
register("not_text", _("A text is expected."))
register("not_a_flag", _("true or false is expected."))
register("not_whole", _("A whole number is expected."))
register("not_a_decimal", _("A decimal number is expected, best as a text such as 12.5."))
register("not_an_instant", _("A time with its offset is expected, such as 2026-11-25T06:10:00-06:00."))
register("instant_without_offset", _("The time lacks its offset from UTC. Write it as 2026-11-25T06:10:00-06:00."))
register("not_a_day", _("A day is written as 2026-11-25."))
register("not_uuid", _("A UUID is expected, such as 01a21200-0000-7000-8000-000000000005."))
register("not_sha256", _("A SHA-256 as 64 lower-case hexadecimal digits is expected."))
register("invalid_choice", _("The value is not one of those allowed: {allowed}."))
register("invalid_image", _("The file is not an image that can be read."))
register("does_not_exist", _("What is named does not exist."))
register("unique", _("The value is there already."))
register("max_length", _("The value is too long."))
register("min_length", _("The value is too short."))
register("max_value", _("The value is too high."))
register("min_value", _("The value is too low."))
register("max_digits", _("The number has too many digits."))
register("max_decimal_places", _("The number has too many decimal places."))
register("max_whole_digits", _("The number has too many digits before the point."))
register("text_nul", _("The text holds a NUL character."))
register("text_surrogate", _("The text holds half of a character (a lone surrogate)."))
register("text_control", _("The text holds a control character."))
register("text_too_long", _("The text has {length} characters; at most {max_length} are kept."))


def words(*codes: str) -> dict[str, Any]:
    """Return these codes' sentences as a serializer's field keeps them, worded when used; UnknownCodeError."""
    return {code: wording(code).template for code in codes}
