"""Addresses of the service."""

from django.urls import path

from haleward.web.team import views

urlpatterns = [
    path("service/", views.service, name="service"),
]
