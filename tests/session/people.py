"""Three invented people for the tests of page and booklet, with everything the home questions read."""

from dataclasses import replace
from datetime import date

from haleward.record import Device, Event, Medicine
from tests.session.samples import RECORD, TODAY

KNOWN = {"chf_present": False, "can_self_monitor": True, "diabetes_type": "none"}
PLAIN = replace(
    RECORD,
    sex="female",
    born_on=date(1953, 5, 4),
    events=(Event("pci", date(2026, 1, 2), sternotomy=False),),
    device=Device("none"),
    medicines=(),
    answers=KNOWN,
)
WITH_DEVICE = replace(
    PLAIN,
    person_id="ben-2",
    first_name="Ben",
    sex="male",
    device=Device("icd", lowest_detection_bpm=170, implanted_on=date(2025, 9, 1)),
    nitrate_prescribed=False,
)
AFTER_SURGERY = replace(
    PLAIN,
    person_id="cat-3",
    first_name="Cat",
    assessed_on=TODAY,
    events=(Event("cabg", date(2025, 12, 20), sternotomy=True),),
    medicines=(Medicine("insulin", "insulin"),),
    answers={**KNOWN, "chf_present": True, "nyha": 2.0, "diabetes_type": "2", "weight_earlier_kg": 70.0},
)
PEOPLE = (PLAIN, WITH_DEVICE, AFTER_SURGERY)
