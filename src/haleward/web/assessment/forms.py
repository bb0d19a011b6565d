"""The parts of the assessment form about the heart: events, medicines, rhythm, device, readings, safety questions."""

from __future__ import annotations

from typing import Any

from django import forms

from haleward.exchange.guards import check_blood_pressure
from haleward.web.assessment.fields import Choice, Day, Glucose, Measured, YesNo, guarded
from haleward.web.assessment.questions import FALLS, asked_names, field_for, grouped

EVENTS = (
    ("mi", "heart attack"),
    ("pci", "stent or balloon (PCI)"),
    ("cabg", "bypass operation (CABG)"),
    ("valve", "valve operation"),
    ("tavi", "valve through the artery (TAVI)"),
    ("device", "device fitted"),
    ("hf", "heart failure"),
    ("transplant", "heart transplant"),
    ("lvad", "heart pump (LVAD)"),
    ("scad", "coronary dissection (SCAD)"),
    ("aortic_dissection", "aortic dissection"),
    ("aortic_repair", "aortic operation"),
    ("evar", "aortic stent (EVAR)"),
    ("angina", "angina"),
    ("other", "other"),
)
MEDICINES = (
    ("beta_blocker", "beta-blocker"),
    ("ivabradine", "ivabradine"),
    ("rate_limiting_ccb", "rate-limiting calcium blocker"),
    ("dihydropyridine_ccb", "other calcium blocker"),
    ("nitrate", "nitrate"),
    ("ace_arb_arni", "ACE inhibitor, ARB or ARNI"),
    ("diuretic", "diuretic"),
    ("mra", "MRA"),
    ("digoxin", "digoxin"),
    ("amiodarone", "amiodarone"),
    ("antiplatelet", "antiplatelet"),
    ("anticoagulant", "anticoagulant"),
    ("statin", "statin"),
    ("sglt2", "SGLT2 inhibitor"),
    ("insulin", "insulin"),
    ("sulfonylurea", "sulfonylurea"),
    ("metformin_glp1", "metformin or GLP-1"),
    ("antidepressant", "antidepressant"),
    ("bronchodilator", "bronchodilator"),
    ("alpha_blocker", "alpha-blocker"),
    ("other", "other"),
)
RHYTHMS = (
    ("sinus", "sinus rhythm"),
    ("atrial_fibrillation", "atrial fibrillation"),
    ("paced", "paced"),
    ("other", "other"),
)
DEVICES = (
    ("none", "no device"),
    ("pacemaker", "pacemaker"),
    ("icd", "defibrillator (ICD)"),
    ("crt_p", "resynchronisation, pacing only (CRT-P)"),
    ("crt_d", "resynchronisation with defibrillator (CRT-D)"),
    ("loop_recorder", "loop recorder"),
    ("lvad", "heart pump (LVAD)"),
)
SIDES = (("left", "left"), ("right", "right"))


class InBlocks(forms.Form):
    """A form shown in blocks of fields that belong together, each with its title."""

    BLOCKS: tuple[tuple[str, tuple[str, ...]], ...] = ()

    def blocks(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The blocks in order, for the template."""
        return [(title, [self[name] for name in names]) for title, names in self.BLOCKS]


class StartForm(forms.Form):
    """The day of the assessment."""

    assessed_on = Day(label="Day of this assessment", required=True)


class EventRow(forms.Form):
    """One heart event or operation."""

    kind = Choice(label="Event or operation", choices=EVENTS, unknown="choose", required=True)
    on = Day(label="Date")
    sternotomy = YesNo(label="Breastbone opened")
    complicated = YesNo(label="Complicated", help_text="Shock, heart failure or ischaemia after it.")


class MedicinesForm(forms.Form):
    """What was asked about medicines as a whole."""

    takes_none = forms.BooleanField(label="Asked: takes no medicines", required=False)
    nitrate_prescribed = YesNo(label="Nitrate prescribed for chest pain")
    fluid_limited = YesNo(label="Told to limit fluids")


class MedicineRow(forms.Form):
    """One medicine as taken now."""

    drug_class = Choice(label="Class", choices=MEDICINES, unknown="choose", required=True)
    name = forms.CharField(label="Name", max_length=80)
    dose = forms.CharField(label="Dose and times", max_length=80, required=False)
    since = Day(label="At this dose since")


class HeartForm(InBlocks):
    """Rhythm, device and limits set by others."""

    BLOCKS = (
        ("", ("rhythm", "device_kind")),
        (
            "If there is a device",
            ("lowest_detection_bpm", "lower_rate_bpm", "upper_rate_bpm", "read_on", "implanted_on", "implant_side"),
        ),
        (
            "Limits from tests and clinicians",
            (
                "peak_bpm_on_medicines",
                "peak_taken_on",
                "ischaemic_threshold_bpm",
                "clinician_ceiling_bpm",
                "clinician_ceiling_by",
            ),
        ),
    )

    rhythm = Choice(label="Rhythm at rest", choices=RHYTHMS)
    device_kind = Choice(label="Implanted heart device", choices=DEVICES)
    lowest_detection_bpm = Measured(label="Lowest rate the device treats", quantity="device_rate_bpm")
    lower_rate_bpm = Measured(label="Lower pacing rate", quantity="device_rate_bpm")
    upper_rate_bpm = Measured(label="Upper tracking rate", quantity="device_rate_bpm")
    read_on = Day(label="Rates read on")
    implanted_on = Day(label="Implanted on")
    implant_side = Choice(label="Implant side", choices=SIDES)
    peak_bpm_on_medicines = Measured(label="Highest rate in a maximal test on these medicines", quantity="rate_bpm")
    peak_taken_on = Day(label="Day of that test")
    ischaemic_threshold_bpm = Measured(label="Rate at which ischaemia begins", quantity="rate_bpm")
    clinician_ceiling_bpm = Measured(label="Limit set by a clinician", quantity="rate_bpm")
    clinician_ceiling_by = forms.CharField(label="Who set that limit", max_length=80, required=False)

    def clean(self) -> dict[str, Any]:
        """Rates belong to a device, a limit to whoever set it."""
        data = super().clean() or {}
        rates = ("lowest_detection_bpm", "lower_rate_bpm", "upper_rate_bpm", "read_on", "implanted_on", "implant_side")
        if data.get("device_kind") in ("", "none") and any(data.get(name) for name in rates):
            self.add_error("device_kind", "Device details are entered. Choose which device this is, or empty them.")
        if data.get("clinician_ceiling_by") and data.get("clinician_ceiling_bpm") is None:
            self.add_error("clinician_ceiling_bpm", "A name is given but no limit. Enter the limit or empty the name.")
        return data


class ReadingsForm(InBlocks):
    """Resting readings and how they were taken."""

    BLOCKS = (
        ("Heart rate", ("bpm", "bpm_on", "bpm_how")),
        ("Blood pressure", ("systolic_mmhg", "diastolic_mmhg", "pressure_on", "pressure_how")),
        ("Glucose, if the person has diabetes", ("glucose_mmol",)),
    )

    bpm = Measured(label="At rest", quantity="resting_bpm")
    bpm_on = Day(label="Taken on")
    bpm_how = forms.CharField(
        label="How", max_length=80, required=False, help_text="For example: counted 60 s, seated 5 min."
    )
    systolic_mmhg = Measured(label="Upper value", quantity="systolic_mmhg")
    diastolic_mmhg = Measured(label="Lower value", quantity="diastolic_mmhg")
    pressure_on = Day(label="Taken on")
    pressure_how = forms.CharField(
        label="How", max_length=80, required=False, help_text="For example: seated 5 min, left arm."
    )
    glucose_mmol = Glucose()

    def clean(self) -> dict[str, Any]:
        """A reading needs its day; blood pressure needs both values."""
        data = super().clean() or {}
        if data.get("bpm") is not None and not data.get("bpm_on") and "bpm_on" not in self.errors:
            self.add_error("bpm_on", "Enter the day on which the heart rate was taken.")
        upper, lower = data.get("systolic_mmhg"), data.get("diastolic_mmhg")
        if (upper is None) != (lower is None) and not {"systolic_mmhg", "diastolic_mmhg"} & set(self.errors):
            self.add_error("systolic_mmhg", "Enter both values of the blood pressure, or neither.")
        if upper is not None and lower is not None:
            self._check_pressure(upper, lower, data)
        return data

    def _check_pressure(self, upper: float, lower: float, data: dict[str, Any]) -> None:
        try:
            guarded(lambda: check_blood_pressure(upper, lower))
        except forms.ValidationError as error:
            self.add_error("systolic_mmhg", error)
        if not data.get("pressure_on") and "pressure_on" not in self.errors:
            self.add_error("pressure_on", "Enter the day on which the blood pressure was taken.")


class QuestionsForm(forms.Form):
    """Every safety question of the protocol, each with "not known" first."""

    def __init__(self, *args: Any, extra: tuple[str, ...] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.extra = extra
        for name in asked_names(extra):
            self.fields[name] = field_for(name)

    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The questions in their groups, for the template; falls are shown with the function tests."""
        return [(title, [self[name] for name in names]) for title, names in grouped(self.extra)]

    def falls(self) -> list[forms.BoundField]:
        """The questions about falls."""
        return [self[name] for name in FALLS]


class RestrictionRow(forms.Form):
    """A limit set by a named author."""

    KINDS = (
        ("sternum", "breastbone healing"),
        ("shoulder", "shoulder"),
        ("hip_replacement", "hip replacement"),
        ("device_arm", "arm on the device side"),
        ("balance", "balance"),
        ("no_overhead", "no reaching overhead"),
        ("no_grip", "no gripping"),
        ("no_step", "no steps"),
        ("arm", "one arm at rest, as in a sling"),
        ("movement", "named movements"),
        ("other", "other"),
    )
    kind = Choice(label="Kind", choices=KINDS, unknown="choose", required=True)
    shown = forms.CharField(label="In the author's words", max_length=200)
    author = forms.CharField(label="Set by", max_length=80)
    start_on = Day(label="From", required=True, ahead=True)
    review_on = Day(label="Review on", required=True, ahead=True)
    side = Choice(label="Side", choices=SIDES, unknown="both or none")
    load_limit_kg = Measured(label="Load limit", quantity="hand_mass_kg")
    movement_ids = forms.MultipleChoiceField(label="Movements it names", required=False)

    def __init__(self, *args: Any, movements: tuple[tuple[str, str], ...] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["movement_ids"].choices = movements  # type: ignore[attr-defined]
        self.fields["movement_ids"].widget.attrs["size"] = 4

    def clean(self) -> dict[str, Any]:
        """Review comes after the start; named movements must be named."""
        data = super().clean() or {}
        start, review = data.get("start_on"), data.get("review_on")
        if start and review and review < start:
            self.add_error("review_on", "The review is before the start. Check both dates.")
        if data.get("kind") == "arm" and not data.get("side"):
            self.add_error("side", "Choose the side of the arm that rests.")
        if data.get("kind") == "movement" and not data.get("movement_ids"):
            self.add_error("movement_ids", "Choose the movements that this restriction names.")
        return data


class ReleaseForm(forms.Form):
    """Why a restriction ends."""

    reason = forms.CharField(label="Reason for the release, and who agreed", max_length=200)
