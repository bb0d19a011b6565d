"""Addresses of sign-in and staff."""

from django.urls import path

from haleward.web.accounts import views

urlpatterns = [
    path("sign-in/", views.sign_in, name="sign_in"),
    path("sign-out/", views.sign_out, name="sign_out"),
    path("staff/", views.staff, name="staff"),
    path("staff/clinical-lead/", views.clinical_lead, name="clinical_lead"),
    path("staff/<int:user_id>/account/", views.account, name="account"),
    path("staff/<int:user_id>/password/", views.password, name="password"),
]
