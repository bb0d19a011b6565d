"""Sign-in and staff forms."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.password_validation import validate_password

from haleward.web.accounts.models import Role, User


class SignInForm(AuthenticationForm):
    """Name and password; one sentence when they do not fit."""

    error_messages = {
        "invalid_login": "This name and password do not fit. Check both; capitals count in the password.",
        "inactive": "This account is switched off. Ask your service manager.",
    }


def password_field(label: str) -> forms.CharField:
    """A password that the manager thinks of; it never comes back on a page."""
    return forms.CharField(
        label=label,
        help_text="At least 12 characters. Tell your colleague in person.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )


class PasswordForm(forms.Form):
    """A new password for a colleague, by the same rules as the first one."""

    password = password_field("New password")

    def __init__(self, *args: Any, colleague: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.colleague = colleague

    def clean_password(self) -> str:
        """The password rules of the settings."""
        password: str = self.cleaned_data["password"]
        validate_password(password, self.colleague)
        return password


class StaffForm(forms.ModelForm):
    """A new colleague with a role and a first password."""

    password = password_field("First password")

    class Meta:
        """Which fields, with their labels."""

        model = User
        fields = ("first_name", "last_name", "username", "role", "profession")
        labels = {"username": "Sign-in name", "profession": "Profession, as under a signature"}
        help_texts = {
            "username": "Letters, digits and . _ - only.",
            "profession": "For example: cardiac physiotherapist. Needed only for the clinical lead.",
        }

    def clean(self) -> dict[str, Any]:
        """The password rules of the settings, which also compare it with the colleague's own names."""
        data = super().clean() or self.cleaned_data
        names = {name: data.get(name, "") for name in ("first_name", "last_name", "username")}
        if password := data.get("password"):
            try:
                validate_password(password, User(**names))
            except forms.ValidationError as fault:
                self.add_error("password", fault)
        return data

    def save(self, commit: bool = True) -> Any:
        """Stores the password as an argon2 hash."""
        user = super().save(commit=False)
        user.set_password(self.cleaned_data["password"])
        if commit:
            user.save()
        return user


class ClinicalLeadForm(forms.Form):
    """Who signs the service's protocol: one exercise lead or nurse, with the profession under the signature."""

    colleague = forms.ModelChoiceField(label="Colleague", queryset=User.objects.none(), empty_label="Choose")
    profession = forms.CharField(
        label="Profession, as under the signature", max_length=80, help_text="For example: consultant cardiologist."
    )
    agreed = forms.BooleanField(
        label="This colleague is responsible for the protocol under our local rules and has agreed to sign it"
    )

    def __init__(self, *args: Any, manager: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        clinical = User.objects.filter(
            service_id=manager.service_id, is_active=True, role__in=(Role.LEAD, Role.NURSE)
        ).order_by("last_name", "first_name")
        self.fields["colleague"].queryset = clinical  # type: ignore[attr-defined]
