"""The safety questions of the assessment: every input the protocol reads that no other part of the form records."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from functools import cache
from importlib.resources import files

from django import forms

from haleward.safety.conditions import inputs_of
from haleward.safety.inputs import SafetyInput, default_inputs
from haleward.safety.protocol import Protocol
from haleward.web.assessment.fields import Choice, Measured, YesNo
from haleward.wording import default_wording

# The order in which staff ask. An input of the protocol that stands in no group comes last.
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Before any exercise",
        (
            "angina_rest_or_worse",
            "hf_worsening_signs",
            "active_peri_myo_endocarditis",
            "thrombophlebitis_or_dvt",
            "embolism",
            "embolism_weeks",
            "acute_dissection",
            "avblock3_no_pacer",
            "hocm_severe",
            "aortic_stenosis",
            "valve_symptoms",
            "complex_va_rest",
            "complex_va_exercise",
            "pregnant",
            "birth_recent",
            "weeks_postpartum",
            "stroke",
            "stroke_weeks",
        ),
    ),
    (
        "Heart function and symptoms",
        (
            "lvef_pct",
            "chf_present",
            "nyha",
            "fc_mets",
            "cardiac_arrest_hx",
            "post_event_ischaemia",
            "symptoms_on_exertion",
            "symptom_onset_mets",
            "symptoms_in_recovery",
            "st_depression_mm",
            "haemodynamics_abnormal",
            "clinical_depression",
        ),
    ),
    (
        "Breastbone and device wound",
        ("sternal_click_or_wound_problem", "device_wound_problem"),
    ),
    (
        "Other conditions",
        (
            "diabetes_type",
            "insulin_or_su",
            "retinopathy_proliferative_active",
            "neuropathy_foot",
            "foot_ulcer",
            "autonomic_neuropathy",
            "pulmonary_hypertension",
            "pulm_htn_mean",
            "marfan_like",
            "copd",
            "vertebral_fracture",
            "pad_pain",
            "unexplained_muscle_pain_statin",
            "dementia",
            "frailty_high",
            "spo2_target_low",
        ),
    ),
    ("Exercise at home", ("can_self_monitor", "exercising_alone", "phone_available")),
)
FALLS = ("falls_12m", "fall_needing_care", "new_dizziness", "postural_symptoms")
COMPUTED = frozenset({"screening_complete", "session_complete", "balance_restriction", "af_known"})
OF_THE_DAY = frozenset({"clinician_step_down", "sbp_sit", "sbp_stand"})  # asked in the check of the day
WORDING = {
    "lvef_pct": "ask_ef",
    "event_type": "referral_ask_event",
    "mi_days": "ask_event_date",
    "weeks_since_event": "ask_event_date",
    "sternotomy": "ask_sternum",
    "weeks_since_sternotomy": "ask_sternum",
    "icd": "ask_device",
    "lvad": "ask_device",
    "icd_detect_bpm": "ask_device_rate",
    "gtn_prescribed": "ask_nitrate",
    "insulin_or_su": "referral_ask_medicines",
    "sbp_rest": "ask_bp",
    "dbp_rest": "ask_bp",
    "hr_rest": "ask_hr",
    "age_y": "referral_ask_birth",
    "falls_12m": "ask_falls",
    "symptoms_on_exertion": "ask_symptoms",
    "exercising_alone": "ask_home_alone",
    "phone_available": "ask_home_alone",
    "glucose_mmol": "ask_glucose",
}


@cache
def plausible_of() -> dict[str, str]:
    """The plausible range (a row of data/tables/plausible.csv) that each numeric input is checked against."""
    text = files("haleward").joinpath("data", "tables", "answers.csv").read_text(encoding="utf-8")
    return {row["name"]: row["quantity"] for row in csv.DictReader(text.splitlines()) if row["quantity"]}


@cache
def recorded_elsewhere() -> frozenset[str]:
    """The inputs that another part of the form records (an event's date, a reading, a device)."""
    text = files("haleward").joinpath("data", "tables", "answers.csv").read_text(encoding="utf-8")
    return frozenset(row["name"] for row in csv.DictReader(text.splitlines()) if row["instead"])


def further_questions(protocol: Protocol) -> tuple[str, ...]:
    """What this protocol asks before any exercise, for risk and for placement, and no group above lists."""
    entry = protocol.gates["entry"]
    conditions = [
        *(rule.condition for rule in protocol.rules if rule.stage in entry.stages or rule.id in entry.also),
        *(item.condition for item in protocol.stratification.items),
        *(rule.condition for rule in protocol.placement.rules),
    ]
    read = [need.input for need in entry.needs] + [name for part in conditions for name in inputs_of(part)]
    known = (
        {name for _title, group in GROUPS for name in group} | set(FALLS) | recorded_elsewhere() | COMPUTED | OF_THE_DAY
    )
    return tuple(dict.fromkeys(name for name in read if name not in known))


def field_for(name: str) -> forms.Field:
    """The form field of one safety input."""
    item = default_inputs()[name]
    label = item.label[:1].upper() + item.label[1:]
    if item.kind == "bool":
        return YesNo(label=label, help_text=_meaning(item))
    field: forms.Field
    if item.kind == "number":
        quantity = plausible_of().get(name, "answer")
        field = Measured(label=label, quantity=quantity, unit=_unit(item), help_text=_meaning(item))
    else:
        field = Choice(label=label, choices=[(value, value.replace("_", " ")) for value in item.values])
    field.template_name = "assessment/_asked.html"  # type: ignore[union-attr]  # Django 5 fields have it, the stubs do not
    return field


def grouped(names: Iterable[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The groups of questions in the order they are asked, with those of ``names`` that no group lists at the end."""
    placed = {name for _title, group in GROUPS for name in group} | set(FALLS)
    rest = tuple(name for name in names if name not in placed)
    return (*GROUPS, ("Further questions of this protocol", rest)) if rest else GROUPS


def asked_names(extra: Iterable[str] = ()) -> tuple[str, ...]:
    """Every safety input the assessment form asks by name."""
    return tuple(name for _title, group in grouped(extra) for name in group) + FALLS


def _meaning(item: SafetyInput) -> str:
    """The meaning, where it says more than the label."""
    return "" if len(item.meaning) <= len(item.label) + 8 else item.meaning[:1].upper() + item.meaning[1:] + "."


def _unit(item: SafetyInput) -> str:
    return "" if item.unit in ("count", "NYHA class") else item.unit


def asked_for(names: Iterable[str]) -> tuple[str, ...]:
    """The question to ask for each missing input, in order, each once."""
    wording = default_wording()
    return tuple(dict.fromkeys(wording.template(WORDING[name]) if name in WORDING else _ask(name) for name in names))


def _ask(name: str) -> str:
    item = default_inputs().get(name)
    if item is None:
        return name.replace("_", " ")
    return default_wording().text("ask_input", {"label": item.label[:1].upper() + item.label[1:]})
