"""How every form is drawn: label, help, control and fault, in that order."""

from __future__ import annotations

from django.forms.renderers import TemplatesSetting


class Renderer(TemplatesSetting):
    """Forms and fields use our own templates."""

    form_template_name = "forms/form.html"
    field_template_name = "forms/field.html"
