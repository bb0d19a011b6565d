"""Addresses of concerns."""

from django.urls import path

from haleward.web.concerns import views

urlpatterns = [
    path("concerns/", views.concerns, name="concerns"),
    path("people/<uuid:person_id>/concerns/", views.report, name="report_concern"),
    path("concerns/<int:concern_id>/", views.concern, name="concern"),
]
