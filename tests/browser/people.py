"""Three invented people as staff type them into the forms, by the names of the controls."""

from __future__ import annotations

from datetime import date, timedelta

Typed = dict[str, str | bool | list[str]]
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

UNCOMPLICATED = {"sternotomy": "no", "complicated": "no"}


def days_from(today: date, *ahead: int) -> list[str]:
    """Weekdays counted from today."""
    return [WEEKDAYS[(today + timedelta(days=number)).weekday()] for number in ahead]


def iso(today: date, *, days_ago: int) -> str:
    """A day as a date control takes it."""
    return (today - timedelta(days=days_ago)).isoformat()


def rows(prefix: str, *filled: dict[str, str]) -> Typed:
    """Rows of one kind, from the first."""
    return {f"{prefix}-{number}-{name}": value for number, row in enumerate(filled) for name, value in row.items()}


def part(prefix: str, **values: str | bool | list[str]) -> Typed:
    """One part of the form."""
    return {f"{prefix}-{name}": value for name, value in values.items()}


def questions(**other: str) -> Typed:
    """Every safety question answered; ``other`` is what differs."""
    no = (
        "angina_rest_or_worse", "hf_worsening_signs", "active_peri_myo_endocarditis", "thrombophlebitis_or_dvt",
        "acute_dissection", "avblock3_no_pacer", "hocm_severe", "complex_va_rest", "complex_va_exercise",
        "chf_present", "cardiac_arrest_hx", "post_event_ischaemia", "symptoms_on_exertion", "symptoms_in_recovery",
        "haemodynamics_abnormal", "clinical_depression", "insulin_or_su", "frailty_high", "marfan_like",
        "retinopathy_proliferative_active", "exercising_alone", "embolism", "stroke", "foot_ulcer",
        "pulmonary_hypertension",
    )  # fmt: skip
    answers = dict.fromkeys(no, "no") | {
        "aortic_stenosis": "none", "diabetes_type": "none", "lvef_pct": "55", "nyha": "1", "st_depression_mm": "0",
        "falls_12m": "0", "can_self_monitor": "yes", "phone_available": "yes",
    }  # fmt: skip
    return part("questions", **(answers | other))


def home(**other: str) -> Typed:
    """What most people have at home."""
    kit = dict.fromkeys(("firm_chair", "armchair", "worktop", "clear_wall"), "yes") | {
        "door_anchor": "no", "hand_weight_pairs_kg": "none", "bottle_pairs_kg": "none",
        "ankle_weight_pairs_kg": "none", "step_height_m": "none", "space": "two steps each way, no rugs",
    }  # fmt: skip
    return part("kit", no_bands=True, **(kit | other))


def steady(today: date) -> Typed:
    """The tests of someone who stands well."""
    return part(
        "function", tested_on=iso(today, days_ago=0), rises_without_arms="yes", chair_stands_30s="14",
        side_by_side_s="10", semi_tandem_s="10", tandem_s="10", gait_speed_m_per_s="1.2", up_and_go_s="8.4",
        sppb_points="12", pain="none",
    )  # fmt: skip


def walked(today: date, distance_m: str, **other: str) -> Typed:
    """A six-minute walk of today."""
    return part(
        "walk", kind="six_minute_walk", distance_m=distance_m, tested_on=iso(today, days_ago=0), course_m="30",
        practice_done="yes", peak_effort="3", symptoms="no", **other,
    )  # fmt: skip


def readings(today: date, bpm: str, systolic: str, diastolic: str) -> Typed:
    """Heart rate and blood pressure of today."""
    day = iso(today, days_ago=0)
    return part(
        "readings", bpm=bpm, bpm_on=day, bpm_how="counted 60 s, seated 5 min, tablets taken", systolic_mmhg=systolic,
        diastolic_mmhg=diastolic, pressure_on=day, pressure_how="seated 5 min, right arm",
    )  # fmt: skip


def robin(today: date) -> dict[str, Typed]:
    """Heart rate usable: sinus rhythm, beta-blocker, own hand weights, stands well. Sections of the form by name."""
    since = iso(today, days_ago=55)
    return {
        "events": rows("event", {"kind": "pci", "on": iso(today, days_ago=58)} | UNCOMPLICATED),
        "medicines": part("medicines", nitrate_prescribed="yes", fluid_limited="no") | rows(
            "medicine",
            {"drug_class": "beta_blocker", "name": "bisoprolol", "dose": "2.5 mg once daily", "since": since},
            {"drug_class": "statin", "name": "atorvastatin", "dose": "80 mg once daily", "since": since},
        ),
        "heart": part("heart", rhythm="sinus", device_kind="none"),
        "readings": readings(today, "62", "128", "76"),
        "questions": questions(),
        "function": steady(today),
        "kit": home(hand_weight_pairs_kg="1 kg, 2 kg", step_height_m="15 cm"),
        "body": part("body", stature_m="165 cm", mass_kg="11 st 5 lb"),
        "plan": part("plan", goal="walk to the top of the lane and back", new_to_exercise="yes",
                     exercise_days=days_from(today, 0, 1, 2, 3, 4, 5)),
        "walk": walked(today, "480", peak_bpm="101"),
    }  # fmt: skip


def gordon(today: date) -> dict[str, Typed]:
    """Atrial fibrillation on a beta-blocker, holds on to a worktop, owns two 1 L bottles."""
    since = iso(today, days_ago=90)
    return {
        "events": rows(
            "event",
            {"kind": "mi", "on": iso(today, days_ago=93)} | UNCOMPLICATED,
            {"kind": "pci", "on": iso(today, days_ago=92)} | UNCOMPLICATED,
        ),
        "medicines": part("medicines", nitrate_prescribed="yes", fluid_limited="no") | rows(
            "medicine",
            {"drug_class": "beta_blocker", "name": "bisoprolol", "dose": "5 mg once daily", "since": since},
            {"drug_class": "anticoagulant", "name": "apixaban", "dose": "5 mg twice daily", "since": since},
        ),
        "heart": part("heart", rhythm="atrial_fibrillation", device_kind="none"),
        "readings": readings(today, "74", "132", "74"),
        "questions": questions(lvef_pct="52", nyha="2", falls_12m="1", exercising_alone="yes"),
        "function": part(
            "function", tested_on=iso(today, days_ago=0), rises_without_arms="yes", chair_stands_30s="8",
            side_by_side_s="10", semi_tandem_s="10", tandem_s="4", gait_speed_m_per_s="0.75", up_and_go_s="13.2",
            sppb_points="6", pain="none",
        ),
        "kit": home(bottle_pairs_kg="1 L"),
        "body": part("body", stature_m="5 ft 8 in", mass_kg="12 st 10 lb"),
        "plan": part("plan", goal="walk to the allotment and back", new_to_exercise="yes",
                     exercise_days=days_from(today, 0, 2, 4, 5)),
        "walk": walked(today, "290"),
    }  # fmt: skip


def selma(today: date) -> dict[str, Typed]:
    """A defibrillator whose lowest detection rate is 150, which the first form leaves blank."""
    since = iso(today, days_ago=80)
    return {
        "events": rows(
            "event",
            {"kind": "mi", "on": iso(today, days_ago=135)} | UNCOMPLICATED,
            {"kind": "device", "on": iso(today, days_ago=107)} | UNCOMPLICATED,
        ),
        "medicines": part("medicines", nitrate_prescribed="no", fluid_limited="no") | rows(
            "medicine",
            {"drug_class": "beta_blocker", "name": "carvedilol", "dose": "12.5 mg twice daily", "since": since},
            {"drug_class": "ace_arb_arni", "name": "ramipril", "dose": "5 mg once daily", "since": since},
        ),
        "heart": part("heart", rhythm="sinus", device_kind="icd", implanted_on=iso(today, days_ago=107),
                      implant_side="left"),
        "readings": readings(today, "64", "118", "72"),
        "questions": questions(lvef_pct="44") | part("questions", device_wound_problem="no"),
        "function": steady(today),
        "kit": home(hand_weight_pairs_kg="0.5 kg, 1 kg"),
        "body": part("body", stature_m="1.62 m", mass_kg="68.5 kg"),
        "plan": part("plan", goal="dance at my sister's party", new_to_exercise="no",
                     exercise_days=days_from(today, 0, 2, 4, 5)),
        "walk": walked(today, "430", peak_bpm="104"),
    }  # fmt: skip
