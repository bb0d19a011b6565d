"""Addresses of the assessment."""

from django.urls import path

from haleward.web.assessment import views

urlpatterns = [
    path("people/<uuid:person_id>/assessment/", views.assessment, name="assessment"),
    path(
        "people/<uuid:person_id>/restrictions/<int:index>/release/",
        views.restriction_release,
        name="restriction_release",
    ),
]
