"""The sentences of the codes that `common` itself raises, and the titles of HTTP statuses."""

from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from common.messages import Messages, Sentences, wording

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

MESSAGES: Messages = {
    # The request itself
    "bad_request": _("The request cannot be read."),
    "parse_error": _("The body cannot be read in the form that its Content-Type names."),
    "request_too_large": _("The request is larger than is taken here."),
    "body_too_large": _("The body is larger than {max_bytes} bytes."),
    "body_not_utf8": _("The body is not UTF-8; the first wrong byte is at position {position}."),
    "json_malformed": _("The body is not JSON; reading stopped at line {line}, column {column}."),
    "json_too_deep": _("The body is nested more than {max_depth} levels deep."),
    "json_not_an_object": _("The body must be one JSON object."),
    "json_duplicate_key": _("The name {name} appears twice in one object."),
    "json_number_unusable": _(
        "A number must be finite, written in at most {max_digits} characters and of ordinary size."
    ),
    "unknown_parameter": _("These query parameters are not known here: {unknown}. Known are: {known}."),
    "repeated_parameter": _("The query parameter {name} may be given once only."),
    "invalid_parameter": _("A query parameter has a value that is not allowed."),
    "bad_cursor": _("The cursor is not one of this list; start again without it."),
    "page_limit": _("The limit must be a whole number from 1 to {max_limit}."),
    "not_acceptable": _("The answer cannot be given in any of the forms that the Accept header allows."),
    "unsupported_media_type": _("A body of this Content-Type is not read here."),
    "method_not_allowed": _("{method} is not possible here."),
    # Who asks
    "not_authenticated": _("Sign in first: send a token in the Authorization header."),
    "authentication_failed": _("The token is not valid, or no longer."),
    "permission_denied": _("You are not allowed to do this."),
    "role_not_allowed": _("Your roles do not allow this. It is for: {roles}."),
    "not_found": _("There is nothing here that you may see."),
    # Repeating and racing
    "idempotency_key_required": _("Send an Idempotency-Key header, so that sending again does no harm."),
    "idempotency_key_malformed": _("The Idempotency-Key header must be 1 to {max_length} visible ASCII characters."),
    "idempotency_key_reused": _("This Idempotency-Key was used for another request; take a new one."),
    "idempotency_key_in_use": _("The same request is just being answered; ask again shortly."),
    "if_match_required": _("Send an If-Match header with the ETag of the version that you saw."),
    "if_match_malformed": _("The If-Match header must hold one strong ETag as it was sent to you."),
    "version_changed": _("It was changed since you saw it; look at the present version first."),
    "row_in_the_way": _("An entry that is there already stands in the way."),
    "not_stored": _("It could not be stored; this has been recorded. Send it again in {retry_after} seconds."),
    "throttled": _("It was asked too often; wait and try again."),
    # The service itself
    "error": _("An error occurred in the service; it has been recorded under the request's number."),
    "database_busy": _("The service is busy; try again in {retry_after} seconds."),
    "database_unavailable": _("The service cannot reach its database; try again in {retry_after} seconds."),
    # The proxy in front says this one, config/deploy/nginx.conf.
    "service_unreachable": _("The service does not answer at present; try again in {retry_after} seconds."),
    # Moves between states
    "action_not_allowed": _("This cannot be done now: it is in the state {state}."),
    "required_fields_missing": _("Fields that this needs are missing."),
    # One value each: the framework's own codes keep its wording where it answers, and are explained by these
    "invalid": _("A value is refused."),
    "row_unreadable": _("This row cannot be shown. Tell an administrator its key."),
    "required": _("This field is needed."),
    "null": _("This field may not be null."),
    "blank": _("This field may not be empty."),
    "empty": _("This list may not be empty."),
    "unknown_field": _("This field is not known here. Known are: {known}."),
    "not_a_list": _("A list is expected."),
    "not_a_dict": _("An object is expected."),
    "not_text": _("A text is expected."),
    "not_a_flag": _("true or false is expected."),
    "not_whole": _("A whole number is expected."),
    "not_a_decimal": _("A decimal number is expected, best as a text such as 12.5."),
    "not_an_instant": _("A time with its offset is expected, such as 2026-11-25T06:10:00-06:00."),
    "instant_without_offset": _("The time lacks its offset from UTC. Write it as 2026-11-25T06:10:00-06:00."),
    "not_a_day": _("A day is written as 2026-11-25."),
    "not_uuid": _("A UUID is expected, such as 01a21200-0000-7000-8000-000000000005."),
    "not_sha256": _("A SHA-256 as 64 lower-case hexadecimal digits is expected."),
    "invalid_choice": _("The value is not one of those allowed: {allowed}."),
    "invalid_image": _("The file is not an image that can be read."),
    "does_not_exist": _("What is named does not exist."),
    "unique": _("The value is there already."),
    "max_length": _("The value is too long."),
    "min_length": _("The value is too short."),
    "max_value": _("The value is too high."),
    "min_value": _("The value is too low."),
    "max_digits": _("The number has too many digits."),
    "max_decimal_places": _("The number has too many decimal places."),
    "max_whole_digits": _("The number has too many digits before the point."),
    "text_nul": _("The text holds a NUL character."),
    "text_surrogate": _("The text holds half of a character (a lone surrogate)."),
    "text_control": _("The text holds a control character."),
    "text_too_long": _("The text has {length} characters; at most {max_length} are kept."),
}
SENTENCES = Sentences((MESSAGES,))


def words(*codes: str) -> dict[str, Any]:
    """Return these codes' sentences as a serializer's field keeps them, worded when used; UnknownCodeError."""
    return {code: wording(code).template for code in codes}
