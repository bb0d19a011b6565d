"""The demo service: invented staff and people, loaded only into an empty store."""

from __future__ import annotations

from django.db import transaction

from haleward.web.accounts.models import Role, User
from haleward.web.team.models import Service

DEMO_PASSWORD = "demo heart team"  # noqa: S105  (shown on the sign-in page of a demo store)
STAFF = (
    (Role.LEAD, "lead", "Ines", "Fell"),
    (Role.NURSE, "nurse", "Tomas", "Beck"),
    (Role.ASSISTANT, "assistant", "Priya", "Moss"),
    (Role.MANAGER, "manager", "Callum", "Rigg"),
)
NUMBERS = {
    "emergency_number": "999",
    "nurse_line": "the heart nurses on 01632 960123",
    "team_phone": "the team on 01632 960120",
    "hours": "office hours, Monday to Friday, half past eight to half past four",
    "next_open": "half past eight on the next working day",
    "urgent_line": "the urgent advice line on 111",
    "out_of_hours_line": "the urgent advice line on 111",
    "device_clinic": "the device clinic on 01632 960155",
    "diabetes_team": "the diabetes team on 01632 960166",
    "relay_route": "the text relay on 18000",
    "nitrate_name": "spray",
    "nitrate_steps": "Sit down. Use one spray under your tongue. Wait five minutes. Use a second spray if you need it.",
    "erection_gap": "two days",
    "fast_sugar": "a small glass of fruit juice",
}


@transaction.atomic
def load_demo_if_empty() -> bool:
    """Load the demo into a store without any service; True when the store is a demo."""
    if Service.objects.exists():
        return Service.objects.filter(is_demo=True).exists()
    service = Service.objects.create(name="Tarn Valley heart recovery team", values=NUMBERS, is_demo=True)
    for role, username, first_name, last_name in STAFF:
        user = User(username=username, role=role, first_name=first_name, last_name=last_name, service=service)
        user.set_password(DEMO_PASSWORD)
        user.save()
    return True
