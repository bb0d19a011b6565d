"""Addresses of concerns."""

from django.urls import path

from haleward.web.concerns import views, views_brief

urlpatterns = [
    path("concerns/", views.concerns, name="concerns"),
    path("people/<uuid:person_id>/concerns/", views.report, name="report_concern"),
    path("people/<uuid:person_id>/brief/", views_brief.phone_brief, name="phone_brief"),
    path("concerns/<int:concern_id>/", views.concern, name="concern"),
]
