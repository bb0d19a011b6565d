"""Addresses of the service and the protocol."""

from django.urls import path

from haleward.web.team import views

urlpatterns = [
    path("service/", views.service, name="service"),
    path("protocol/", views.protocol, name="protocol"),
]
