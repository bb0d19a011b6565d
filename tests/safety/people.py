"""Facts of an invented person for whom every gate says "go ahead"."""

ENTRY = {
    "age_y": 58,
    "event_type": "pci",
    "weeks_since_event": 6.0,
    "angina_rest_or_worse": False,
    "hf_worsening_signs": False,
    "chf_present": False,
    "lvef_pct": 58,
    "aortic_stenosis": "none",
    "active_peri_myo_endocarditis": False,
    "thrombophlebitis_or_dvt": False,
    "acute_dissection": False,
    "avblock3_no_pacer": False,
    "hocm_severe": False,
    "complex_va_rest": False,
    "complex_va_exercise": False,
    "sternotomy": False,
    "icd": False,
    "lvad": False,
    "device_fitted": False,
    "insulin_or_su": False,
    "gtn_prescribed": False,
}
DAY = {
    "acute_illness": False,
    "chest_pain_now": False,
    "syncope_recent": False,
    "rhythm_new_irregular": False,
    "meds_missed": False,
    "meds_changed": False,
    "fall_since_last": False,
}
HALL = {
    **ENTRY,
    **DAY,
    "sbp_rest": 128,
    "dbp_rest": 76,
    "hr_rest": 68,
    "postural_symptoms": False,
    "alcohol_today": False,
}
HOME = {**ENTRY, **DAY, "can_self_monitor": True, "phone_available": True}
LOW_RISK = {
    **ENTRY,
    "symptoms_on_exertion": False,
    "symptoms_in_recovery": False,
    "st_depression_mm": 0,
    "haemodynamics_abnormal": False,
    "cardiac_arrest_hx": False,
    "complicated_event": False,
    "post_event_ischaemia": False,
    "clinical_depression": False,
    "fc_mets": 8.4,
}
