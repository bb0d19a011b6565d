"""What changes a language of a service. Each is one transaction, with who did it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from haleward.errors import HalewardError
from haleward.languages import read_catalogue
from haleward.languages.checks import refuse_faults
from haleward.web.accounts.models import Role, User
from haleward.web.languages.catalogues import Standing, texts_of
from haleward.web.languages.models import ServiceLanguage

MAY_MARK = "Only the service manager or the clinical lead may do this."


def may_mark(user: User) -> bool:
    """Whether this member of staff may import a translation and mark it reviewed."""
    return user.role == Role.MANAGER or user.is_clinical_lead


@transaction.atomic
def import_files(files: Mapping[str, str], *, user: User, now: datetime) -> ServiceLanguage:
    """Take a whole catalogue as the service's own, or nothing. Its earlier review stays for its earlier state."""
    _refuse(user)
    catalogue = read_catalogue(files)
    refuse_faults(catalogue, texts_of(user.service))
    row, _ = ServiceLanguage.objects.select_for_update().get_or_create(service=user.service, tag=catalogue.tag)
    row.files, row.imported_by, row.imported_at = dict(files), user, now
    row.save()
    return row


@transaction.atomic
def mark_reviewed(
    standing: Standing, *, digest: str, reviewer: str, qualification: str, user: User, now: datetime
) -> None:
    """Show this state of the translation from now on. ``digest`` is the state that was on the screen."""
    _refuse(user)
    catalogue = standing.catalogue
    if digest != catalogue.digest:
        raise HalewardError(f"{catalogue.english_name} has changed since this page was opened. Read it again first.")
    row, _ = ServiceLanguage.objects.select_for_update().get_or_create(service=user.service, tag=catalogue.tag)
    row.reviewer, row.qualification, row.reviewed_on = reviewer, qualification, now.date()
    row.reviewed_digest, row.marked_by, row.marked_at = digest, user, now
    row.save()


@transaction.atomic
def take_back(standing: Standing, *, user: User, now: datetime) -> None:
    """Stop showing the language. The history keeps who had reviewed it, and who took it back."""
    _refuse(user)
    row = standing.row
    if row is None or not row.reviewed_digest:
        raise HalewardError(f"{standing.catalogue.english_name} is not marked as reviewed.")
    row.reviewed_digest, row.marked_by, row.marked_at = "", user, now
    row.save()


def _refuse(user: User) -> None:
    if not may_mark(user):
        raise HalewardError(MAY_MARK)
