"""Signing in and out, and the staff page."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from haleward.web.accounts.access import StaffRequest, public, roles
from haleward.web.accounts.forms import SignInForm, StaffForm
from haleward.web.accounts.models import User
from haleward.web.team.models import Service

sign_out = public(LogoutView.as_view())


class SignIn(LoginView):
    """Sign in; on a demo store the page also lists the demo accounts."""

    template_name = "accounts/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: object) -> dict[str, object]:
        """Adds the demo accounts, which exist only in a demo store."""
        demo = Service.objects.filter(is_demo=True).first()
        staff = User.objects.filter(service=demo).order_by("pk") if demo else User.objects.none()
        return super().get_context_data(**kwargs) | {"demo": demo, "demo_staff": staff}


sign_in = public(SignIn.as_view())


@roles("manager")
def staff(request: StaffRequest) -> HttpResponse:
    """Colleagues and their roles; the manager adds one."""
    form = StaffForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        form.instance.service = request.user.service
        colleague = form.save()
        messages.success(request, f"{colleague} can now sign in.")
        return redirect("staff")
    colleagues = User.objects.filter(service=request.user.service).order_by("last_name")
    status = 422 if form.is_bound else 200
    return render(request, "accounts/staff.html", {"form": form, "colleagues": colleagues}, status=status)


def refused(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001
    """403 raised inside a view."""
    return render(request, "403.html", {"role": "", "who": "your exercise lead"}, status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001
    """404."""
    return render(request, "404.html", status=404)


def broken(request: HttpRequest) -> HttpResponse:
    """500."""
    return render(request, "500.html", status=500)
