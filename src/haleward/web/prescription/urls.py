"""Addresses of the numbers, the programme, proposals and pictures."""

from django.urls import path

from haleward.web.prescription import views, views_batch, views_exercise, views_figure, views_proposal

PLAN = "people/<uuid:person_id>/programme/"
LINE = PLAN + "<slug:part_key>/<int:index>/"

urlpatterns = [
    path("people/<uuid:person_id>/numbers/", views.numbers, name="numbers"),
    path("people/<uuid:person_id>/checks/", views.day_checks, name="day_checks"),
    path("people/<uuid:person_id>/proposals/<int:proposal_id>/", views_proposal.proposal, name="proposal"),
    path("proposals/", views_batch.proposals, name="proposals"),
    path("proposals/undoing/", views_batch.proposals_undo, name="proposals_undo"),
    path("proposals/renewal/", views_batch.proposals_again, name="proposals_again"),
    path(PLAN, views.programme, name="programme"),
    path(PLAN + "draft/", views.programme_draft, name="programme_draft"),
    path(PLAN + "days/", views.programme_days, name="programme_days"),
    path(PLAN + "signature/", views.programme_signature, name="programme_signature"),
    path(PLAN + "<slug:part_key>/exercises/", views_exercise.part_exercises, name="part_exercises"),
    path(LINE, views_exercise.exercise, name="exercise"),
    path(LINE + "movement/", views_exercise.exercise_movement, name="exercise_movement"),
    path(LINE + "place/", views_exercise.exercise_place, name="exercise_place"),
    path(LINE + "removal/", views_exercise.exercise_removal, name="exercise_removal"),
    path("figures/<slug:movement>/<slug:posture>/<slug:kit>/<slug:pose>.svg", views_figure.figure, name="figure"),
]
