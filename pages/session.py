"""Who is signed in on a browser: a signed cookie names a device token's row, and ends with it. Holds no table."""

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, wraps
from http import HTTPStatus
from typing import Any, Concatenate, ParamSpec
from urllib.parse import urlencode
from uuid import UUID

from django.contrib.sessions.backends.base import SessionBase
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.middleware.csrf import rotate_token
from django.urls import reverse

from fleet.api.requests.authentication import PageSession
from pages.answers import Page, page
from pages.calls import ApiAnswer, ProblemAnsweredError, Query, address, call
from pages.problems import problem_page

TOKEN, UNITS = "token", "units"

P = ParamSpec("P")


class Caller:
    """The person signed in, as whom a page calls the API; found once for all the calls of a page."""

    def __init__(self, request: HttpRequest, token_id: UUID) -> None:
        self.request = request
        self.token_id = token_id
        self._session = PageSession(token_id)

    def send(
        self, method: str, path: str, body: object = None, *, headers: Mapping[str, str] | None = None
    ) -> ApiAnswer:
        """Call an operation that writes; a problem is answered, for the form to show."""
        return call(self.request, self._session, method, path, body=body, headers=headers)

    def answer(self, path: str, query: Query | None = None) -> ApiAnswer:
        """Read something that may not be there."""
        return call(self.request, self._session, "GET", path, query=query)

    def read(self, path: str, query: Query | None = None) -> Any:
        """Read something; ProblemAnsweredError where the API answers with a problem."""
        answer = self.answer(path, query)
        if not answer.succeeded:
            raise ProblemAnsweredError(answer)
        return answer.body

    @cached_property
    def me(self) -> Any:
        """Who it is, with the roles in force; sentences are in the person's language from here on."""
        return self.read("me")

    @cached_property
    def zone(self) -> str:
        """The carrier's time zone, in which pages tell days and times."""
        return str(self.read("carrier")["time_zone"])

    def page(self, template: str, context: Mapping[str, Any] | None = None, *, status: int = HTTPStatus.OK) -> Page:
        """Answer with a template that names who is signed in."""
        return page(self.request, template, {"me": self.me, **(context or {})}, status=status)

    @cached_property
    def last_walk(self) -> Any:
        """The receipt of the person's last walk-around; None where there is none, or reports are not theirs to read."""
        reports = self.answer("reports", {"person": "me", "limit": "1"})
        newest = reports.body["results"] if reports.succeeded else []
        return self.read(address("walkarounds", newest[0]["walkaround"])) if newest else None

    @property
    def units(self) -> list[str]:
        """The units that the person picked last on this device, else those of the last walk-around."""
        picked = stored(self.request).get(UNITS)
        return list(picked or (unit["unit"] for unit in (self.last_walk or {}).get("units", ()) if unit["known"]))

    def pick(self, units: Sequence[str]) -> None:
        """Remember the combination on this device, until the session ends."""
        stored(self.request)[UNITS] = list(units)


def stored(request: HttpRequest) -> SessionBase:
    """What the browser's cookie holds."""
    session: SessionBase = request.session
    return session


def begin(request: HttpRequest, token_id: str, *, stays: bool) -> None:
    """Sign a browser in by a device token's row; it ends with the browser unless it `stays`."""
    session = stored(request)
    session.flush()
    session[TOKEN] = token_id
    session.set_expiry(None if stays else 0)
    rotate_token(request)


def caller_of(request: HttpRequest) -> Caller | None:
    """Return who a browser says is signed in; whether that still holds is seen at the first call."""
    named = stored(request).get(TOKEN)
    return None if named is None else Caller(request, UUID(named))


def signed_in(
    view: Callable[Concatenate[Caller, P], HttpResponse],
) -> Callable[Concatenate[HttpRequest, P], HttpResponse]:
    """Give a view the person signed in; lead to the sign-in where there is none, or none any more.

    A problem that the view has no place for becomes a page of its own.
    """

    @wraps(view)
    def held(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        caller = caller_of(request)
        if caller is None:
            return to_sign_in(request)
        try:
            return view(caller, *args, **kwargs)
        except ProblemAnsweredError as why:
            return problem_answer(request, why.answer)

    return held


def problem_answer(request: HttpRequest, answer: ApiAnswer) -> HttpResponse:
    """Lead on from a problem that says who must do what first; show any other."""
    if answer.status == HTTPStatus.UNAUTHORIZED:
        stored(request).flush()
        return to_sign_in(request)
    if answer.body["code"] == "own_password_first":
        return HttpResponseRedirect(reverse("pages:password"))
    return problem_page(request, answer.status, answer.body["detail"])


def to_sign_in(request: HttpRequest) -> HttpResponse:
    """Lead to the sign-in, and from there back to what was wanted."""
    wanted = request.get_full_path() if request.method == "GET" else ""
    query = {"next": wanted} if wanted.strip("/") else {}
    return HttpResponseRedirect(f"{reverse('pages:sign-in')}{'?' if query else ''}{urlencode(query)}")
