"""Addresses of the person's link (me/...) and of sessions on a person's page."""

from django.urls import path

from haleward.web.delivery import (
    views_calendar,
    views_carers,
    views_days,
    views_diary,
    views_doing,
    views_paper,
    views_person,
    views_staff,
    views_tell,
)

urlpatterns = [
    path("me/<str:token>/", views_person.landing, name="me"),
    path("me/<str:token>/safety/", views_person.safety, name="me_safety"),
    path("me/<str:token>/session/<slug:part_key>/", views_person.session, name="me_session"),
    path("me/<str:token>/booklet/<slug:part_key>/", views_person.booklet, name="me_booklet"),
    path("me/<str:token>/calendar/", views_calendar.page, name="me_calendar"),
    path("me/<str:token>/calendar/exercise-plan.ics", views_calendar.file, name="me_calendar_file"),
    path("me/calendar/<str:token>/exercise-plan.ics", views_calendar.feed, name="calendar_feed"),
    path("me/<str:token>/diary/", views_diary.diary, name="me_diary"),
    path("me/<str:token>/tell/", views_tell.sessions, name="me_tell"),
    path("me/<str:token>/tell/<slug:on>/<slug:part_key>/", views_tell.session, name="me_tell_session"),
    path("me/<str:token>/days/", views_days.days, name="me_days"),
    path("me/<str:token>/doing/", views_doing.doing, name="me_doing"),
    path("me/<str:token>/helpers/", views_carers.carers, name="me_carers"),
    path("me/<str:token>/log/", views_person.log, name="me_log"),
    path("me/<str:token>/home.js", views_person.home_script, name="me_home_script"),
    path("me/<str:token>/worker.js", views_person.worker, name="me_worker"),
    path("people/<uuid:person_id>/link/", views_staff.link, name="person_link"),
    path("people/<uuid:person_id>/calendar/", views_calendar.staff_page, name="person_calendar"),
    path("people/<uuid:person_id>/calendar/exercise-plan.ics", views_calendar.staff_file, name="person_calendar_file"),
    path("people/<uuid:person_id>/days/", views_days.staff_days, name="person_days"),
    path("people/<uuid:person_id>/helpers/", views_carers.staff_carers, name="person_carers"),
    path("people/<uuid:person_id>/paper/<slug:monday>/", views_paper.paper_week, name="paper_week"),
    path("people/<uuid:person_id>/sessions/", views_staff.sessions, name="sessions"),
    path("people/<uuid:person_id>/sessions/<slug:part_key>/", views_staff.hall_session, name="hall_session"),
    path("people/<uuid:person_id>/booklet/<slug:part_key>/", views_staff.booklet, name="booklet"),
]
