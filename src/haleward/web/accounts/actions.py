"""What the manager decides about staff, each in one transaction."""

from __future__ import annotations

from datetime import date

from django.db import transaction

from haleward.web.accounts.models import User


@transaction.atomic
def name_clinical_lead(colleague: User, profession: str, *, today: date) -> None:
    """Make this colleague the one who signs the protocol. What an earlier clinical lead signed stays signed."""
    User.objects.filter(service_id=colleague.service_id, clinical_lead_since__isnull=False).exclude(
        pk=colleague.pk
    ).update(clinical_lead_since=None)
    colleague.profession = profession
    colleague.clinical_lead_since = colleague.clinical_lead_since or today
    colleague.save(update_fields=["profession", "clinical_lead_since"])
