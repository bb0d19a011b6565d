"""Who may open which page. Every view declares it; a view that declares nothing opens for nobody."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, TypeVar

from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from haleward.web.accounts.models import Role, User

View = TypeVar("View", bound=Callable[..., Any])
ALL_ROLES = frozenset(Role.values)


class StaffRequest(HttpRequest):
    """A request that the access check has let in: its user is a member of staff."""

    user: User


@dataclass(frozen=True)
class Access:
    """``roles``: staff who may open it; ``public``: anyone; ``link``: whoever holds a person's signed link."""

    roles: frozenset[str] = frozenset()
    public: bool = False
    link: bool = False


def _declare(access: Access) -> Callable[[View], View]:
    def mark(view: View) -> View:
        @wraps(view)
        def opened(*args: Any, **kwargs: Any) -> Any:
            return view(*args, **kwargs)

        opened.access = access  # type: ignore[attr-defined]
        return opened  # type: ignore[return-value]

    return mark


def roles(*names: str) -> Callable[[View], View]:
    """The view opens for these roles (``roles()`` with no name: for every member of staff)."""
    unknown = set(names) - ALL_ROLES
    if unknown:
        raise ValueError(f"Unknown roles: {sorted(unknown)}")
    return _declare(Access(roles=frozenset(names) or ALL_ROLES))


def public(view: View) -> View:
    """The view opens for anyone: signing in, and nothing about people."""
    return _declare(Access(public=True))(view)


def link_holder(view: View) -> View:
    """The view opens for whoever holds a signed link; the view itself reads and checks the link."""
    return _declare(Access(link=True))(view)


class AccessMiddleware:
    """Refuses before the view runs: signed out goes to sign-in, the wrong role gets 403 with one sentence."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., Any], _args: tuple[Any, ...], _kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        """Django calls this with the view it is about to run."""
        access: Access = getattr(view, "access", Access())
        if access.public or access.link:
            return None
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        if request.user.role in access.roles:
            return None
        return refuse(request, request.user, access.roles)


def refuse(request: HttpRequest, user: User, allowed: frozenset[str]) -> HttpResponse:
    """403 with one sentence: not this role, but who can."""
    who = " or ".join(Role(role).label for role in Role.values if role in allowed) or "your service manager"
    return render(request, "403.html", {"role": user.get_role_display(), "who": who}, status=403)


@dataclass(frozen=True)
class Place:
    """One entry of the top navigation."""

    name: str
    url_name: str
    roles: frozenset[str]


PLACES = (
    Place("Today", "today", ALL_ROLES),
    Place("People", "people", frozenset({"lead", "nurse", "assistant"})),
    Place("Referrals", "referrals", frozenset({"lead", "nurse"})),
    Place("Concerns", "concerns", frozenset({"lead", "nurse"})),
    Place("Studio", "studio_people", frozenset({"lead", "nurse", "assistant"})),
    Place("Reckoner", "reckoner", ALL_ROLES),
    Place("Library", "library", ALL_ROLES),
    Place("Protocol", "protocol", ALL_ROLES),
    Place("Service", "service", frozenset({"lead", "manager"})),
    Place("Staff", "staff", frozenset({"manager"})),
)


def navigation(request: HttpRequest) -> dict[str, Any]:
    """Template context: the places this role may open, each with where the page stands in it."""
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return {"places": ()}
    return {"places": [(place, _here(request, place)) for place in PLACES if user.role in place.roles]}


def _here(request: HttpRequest, place: Place) -> str:
    """For ``aria-current``: "page" on the place itself, "true" on a page under it, "" elsewhere."""
    address = reverse(place.url_name)
    if request.path == address:
        return "page"
    return "true" if address != "/" and request.path.startswith(address) else ""
