"""Addresses of the Reckoner."""

from __future__ import annotations

from django.urls import path

from haleward.web.reckoner import views

urlpatterns = [
    path("reckoner/", views.reckoner, name="reckoner"),
    path("reckoner/tests/<slug:key>/", views.field_test, name="field_test"),
    path("reckoner/activities/", views.activities, name="activities"),
    path("reckoner/formulas/", views.formulas, name="formulas"),
    path("reckoner/formulas/<slug:name>/", views.formula, name="formula"),
]
