"""Addresses of the protocol."""

from django.urls import path

from haleward.web.protocol import views, views_draft, views_rule, views_sign

urlpatterns = [
    path("", views.protocol, name="protocol"),
    path("versions/", views.versions, name="protocol_versions"),
    path("versions/<slug:key>/", views.version, name="protocol_version"),
    path("versions/<slug:key>/file/", views.file, name="protocol_file"),
    path("comparison/", views.comparison, name="protocol_comparison"),
    path("drafts/", views_draft.drafts, name="protocol_drafts"),
    path("draft/", views_draft.draft, name="protocol_draft"),
    path("draft/file/", views_draft.import_file, name="protocol_import"),
    path("draft/removal/", views_draft.removal, name="protocol_removal"),
    path("draft/findings/", views_draft.kept, name="protocol_kept"),
    path("draft/sections/<str:key>/", views_draft.section, name="protocol_section"),
    path("draft/sections/<str:key>/checks/", views_draft.checks, name="protocol_checks"),
    path("draft/sections/<str:key>/rules/", views_rule.new_rule, name="protocol_rule"),
    path("draft/sections/<str:key>/retirement/", views_rule.retirement, name="protocol_retirement"),
    path("draft/wording/", views_rule.wording, name="protocol_wording"),
    path("draft/preview/", views_sign.preview, name="protocol_preview"),
    path("draft/signature/", views_sign.signature, name="protocol_signature"),
    path("reviews/<int:review_id>/", views_sign.review, name="protocol_review"),
]
