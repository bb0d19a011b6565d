"""Signing in and out, and the staff page."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from haleward.errors import HalewardError
from haleward.web.accounts import actions
from haleward.web.accounts.access import StaffRequest, public, roles
from haleward.web.accounts.forms import ClinicalLeadForm, PasswordForm, SignInForm, StaffForm
from haleward.web.accounts.models import AccountStep, User
from haleward.web.team.models import Service

STEPS_SHOWN = 50
sign_out = public(LogoutView.as_view())


class SignIn(LoginView):
    """Sign in; on a demo store the page also lists the demo accounts."""

    template_name = "accounts/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: object) -> dict[str, object]:
        """Adds the demo accounts, which exist only in a demo store."""
        demo = Service.objects.filter(is_demo=True).first()
        staff = User.objects.filter(service=demo, is_active=True).order_by("pk") if demo else User.objects.none()
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
    context: dict[str, object] = {"form": form, "lead_form": ClinicalLeadForm(manager=request.user)}
    return _staff_page(request, context, status=422 if form.is_bound else 200)


def _staff_page(request: StaffRequest, context: dict[str, object], *, status: int) -> HttpResponse:
    colleagues = User.objects.filter(service=request.user.service).order_by("last_name")
    named = colleagues.filter(clinical_lead_since__isnull=False).first()
    steps = AccountStep.objects.filter(colleague__service=request.user.service).select_related("colleague", "by")
    context |= {"colleagues": colleagues, "clinical_lead": named, "steps": steps[:STEPS_SHOWN]}
    return render(request, "accounts/staff.html", context, status=status)


@require_POST
def _clinical_lead(request: StaffRequest) -> HttpResponse:
    form = ClinicalLeadForm(request.POST, manager=request.user)
    if not form.is_valid():
        return _staff_page(request, {"form": StaffForm(), "lead_form": form}, status=422)
    colleague = form.cleaned_data["colleague"]
    actions.name_clinical_lead(colleague, form.cleaned_data["profession"], today=timezone.localdate())
    messages.success(request, f"{colleague.get_full_name()} is now the clinical lead and signs the protocol.")
    return redirect("staff")


clinical_lead = roles("manager")(_clinical_lead)


@roles("manager")
@require_POST
def account(request: StaffRequest, user_id: int) -> HttpResponse:
    """Switch a colleague's account off, or on again."""
    colleague = get_object_or_404(User, pk=user_id, service_id=request.user.service_id)
    name = colleague.get_full_name()
    try:
        if "off" in request.POST:
            actions.switch_off(colleague, by=request.user, now=timezone.now())
            messages.success(request, f"{name}’s account is switched off. What {name} signed and wrote stays.")
        elif "on" in request.POST:
            actions.switch_on(colleague, by=request.user, now=timezone.now())
            messages.success(request, f"{name} can sign in again.")
    except HalewardError as refusal:
        messages.warning(request, str(refusal))
    return redirect("staff")


@roles("manager")
def password(request: StaffRequest, user_id: int) -> HttpResponse:
    """A new password for a colleague who cannot sign in any more."""
    colleague = get_object_or_404(User, pk=user_id, service_id=request.user.service_id)
    form = PasswordForm(request.POST or None, colleague=colleague)
    if request.method == "POST" and form.is_valid():
        new = form.cleaned_data["password"]
        actions.give_password(colleague, new, by=request.user, now=timezone.now())
        if colleague.pk == request.user.pk:
            update_session_auth_hash(request, colleague)
        messages.success(request, f"{colleague.get_full_name()} has a new password. The old one opens nothing.")
        return redirect("staff")
    context = {"colleague": colleague, "form": form}
    return render(request, "accounts/password.html", context, status=422 if form.is_bound else 200)


def refused(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001
    """403 raised inside a view."""
    return render(request, "403.html", {"role": "", "who": "your exercise lead"}, status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001
    """404."""
    return render(request, "404.html", status=404)


def broken(request: HttpRequest) -> HttpResponse:
    """500."""
    return render(request, "500.html", status=500)
