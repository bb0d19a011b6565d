"""Addresses of Today, people and referrals."""

from django.urls import path

from haleward.web.people import views, views_course, views_end

urlpatterns = [
    path("", views.today, name="today"),
    path("people/", views.people, name="people"),
    path("people/<uuid:person_id>/", views.person, name="person"),
    path("people/<uuid:person_id>/course/", views_course.course, name="course"),
    path("people/<uuid:person_id>/end/", views_end.person_end, name="person_end"),
    path("people/<uuid:person_id>/details/", views.person_details, name="person_details"),
    path("referrals/", views.referrals, name="referrals"),
    path("referrals/new/", views.new_referral, name="new_referral"),
    path("referrals/<int:referral_id>/", views.referral, name="referral"),
    path("referrals/<int:referral_id>/refusal/", views.referral_refusal, name="referral_refusal"),
]
