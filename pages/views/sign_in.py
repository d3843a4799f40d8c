"""Signing in and out, on a phone that works without signal and at a desk that does not; an own password."""

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from pages.answers import page
from pages.calls import address, call
from pages.forms import problems_of
from pages.session import Caller, begin, caller_of, problem_answer, signed_in, stored

DEVICES = {"phone": "Phone", "desk": "Desk"}
"""The name of a device in the list of one's own, by what the form says it is."""


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Take a name and a password; a phone is told its token once, for its own store, a desk never."""
    onward = _onward(request)
    if request.method != "POST":
        return page(request, "sign_in", {"onward": onward, "kind": "phone"})
    username, kind = request.POST.get("username", ""), request.POST.get("kind", "phone")
    password, device = request.POST.get("password", ""), DEVICES.get(kind, kind)
    given = {"username": username.strip(), "password": password, "device": device}
    answer = call(request, None, "POST", "tokens", body=given)
    if not answer.succeeded:
        again = {"onward": onward, "kind": kind, "username": username, **problems_of(answer)}
        return page(request, "sign_in", again, status=answer.status)
    phone = kind == "phone"
    begin(request, answer.body["id"], stays=phone)
    onward = reverse("pages:password") if answer.body["set_password_first"] else onward
    if not phone:
        return HttpResponseRedirect(onward)
    return page(
        request, "signed_in", {"onward": onward, "token": answer.body["token"], "person": answer.body["person"]}
    )


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session and the device token with it; the page takes the token out of the phone's own store."""
    caller = caller_of(request)
    if caller is None:
        return HttpResponseRedirect(reverse("pages:sign-in"))
    person = caller.answer("me").body.get("person", {})
    answer = caller.send("DELETE", address("tokens", str(caller.token_id)))
    if not answer.succeeded and answer.status != HTTPStatus.UNAUTHORIZED:
        return problem_answer(request, answer)
    stored(request).flush()
    return page(request, "signed_out", {"person": person.get("id", "")})


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def password(caller: Caller) -> HttpResponse:
    """Set an own password; the first thing after somebody else has set it, when nothing else is answered."""
    sent = caller.request.POST
    if caller.request.method == "POST":
        given = {name: sent.get(name, "") for name in ("current_password", "password")}
        answer = caller.send("POST", "me/set-password", given)
        if answer.succeeded:
            return HttpResponseRedirect(reverse("pages:today"))
        shown = problems_of(answer)
    else:
        answer, shown = caller.answer("me"), {}
    if answer.body.get("code") == "authentication_failed":
        return problem_answer(caller.request, answer)
    status = HTTPStatus.OK if caller.request.method != "POST" else answer.status
    return page(caller.request, "password", shown, status=status)


def _onward(request: HttpRequest) -> str:
    """Where to go after signing in: a page of ours that was wanted, else today's."""
    wanted = request.GET.get("next", "")
    ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if ours and wanted else reverse("pages:today")
