"""A referral as a FHIR R4 file -> what it proposes, for a person to confirm. Nothing is decided or overwritten here.

Strict about shape, tolerant about extras: a wrong shape is one sentence, an unknown member or resource is passed over.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from haleward.errors import HalewardError
from haleward.exchange.fhir_bundle import Bundle, Resource, read_bundle
from haleward.exchange.fhir_items import TAKEN_STATUSES, birth, event, medicines, person_texts, request_texts
from haleward.exchange.fhir_readings import readings
from haleward.exchange.proposal import (
    ProposedBirth,
    ProposedEvent,
    ProposedMedicine,
    ProposedReading,
    ProposedText,
    ReferralProposal,
)
from haleward.exchange.referral_gaps import gaps

_READ = (
    "Patient",
    "Condition",
    "Procedure",
    "MedicationStatement",
    "MedicationRequest",
    "ServiceRequest",
    "Observation",
)
_REFUTED = ("refuted", "entered-in-error")


@dataclass
class _Found:
    texts: list[ProposedText] = field(default_factory=list)
    birth: ProposedBirth | None = None
    events: list[ProposedEvent] = field(default_factory=list)
    medicines: list[ProposedMedicine] = field(default_factory=list)
    readings: list[ProposedReading] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)


def read_referral(data: bytes) -> ReferralProposal:
    """Read a document, collection, searchset or transaction Bundle, or one bare resource.

    Raises :class:`HalewardError` with one sentence if the file is not FHIR R4 JSON, is about two people, or holds
    nothing that is read here.
    """
    bundle = read_bundle(data)
    patient = _patient(bundle)
    if not bundle.of(*_READ):
        kinds = ", ".join(sorted({resource.kind for resource in bundle.resources}))
        raise HalewardError(f"The file holds no part of a referral that is read here; it holds {kinds}.")
    found = _Found()
    if patient is not None:
        found.texts.extend(person_texts(patient))
        found.birth = birth(patient)
        if patient.flag("deceasedBoolean") or patient.has("deceasedDateTime"):
            found.left_out.append(f"{patient.path}: the file says that this person has died; ask the referrer first.")
    for resource in bundle.resources:
        if resource is not patient:
            _read(resource, bundle, patient, found)
    return _proposal(bundle, found)


def _proposal(bundle: Bundle, found: _Found) -> ReferralProposal:
    proposal = ReferralProposal(
        bundle_type=bundle.type,
        texts=tuple(found.texts),
        birth=found.birth,
        events=tuple(found.events),
        medicines=tuple(found.medicines),
        readings=tuple(found.readings),
        left_out=tuple(found.left_out),
    )
    return gaps(proposal)


def _patient(bundle: Bundle) -> Resource | None:
    patients = bundle.of("Patient")
    if len(patients) > 1:
        raise HalewardError(f"The file is about {len(patients)} people; send one file for each person.")
    return patients[0] if patients else None


def _read(resource: Resource, bundle: Bundle, patient: Resource | None, found: _Found) -> None:
    if resource.kind not in _READ:
        return
    about = bundle.resolve(resource, "subject")
    if about is not None and patient is not None and about is not patient:
        found.left_out.append(f"{resource.path}: left out, because it is about {about.path}, not about the person.")
        return
    reason = _refusal(resource)
    if reason:
        found.left_out.append(f"{resource.path}: left out, because {reason}.")
    elif resource.kind == "ServiceRequest":
        found.texts.extend(request_texts(resource, bundle))
    elif resource.kind == "Observation":
        values, left_out = readings(resource)
        found.readings.extend(values)
        found.left_out.extend(left_out)
    elif resource.kind in ("Condition", "Procedure"):
        _keep(found.events, event(resource), resource, found)
    else:
        proposed = medicines(resource, bundle)
        found.medicines.extend(proposed)
        if not proposed:
            found.left_out.append(f"{resource.path}: left out, because it names no medicine.")


def _keep(events: list[ProposedEvent], proposed: ProposedEvent | None, resource: Resource, found: _Found) -> None:
    if proposed is None:
        found.left_out.append(f"{resource.path}: left out, because it has no words and no code.")
    else:
        events.append(proposed)


def _refusal(resource: Resource) -> str:
    """Why a resource must not be proposed ("" if it may): withdrawn, refuted, stopped."""
    status = resource.text("status")
    if resource.kind in ("MedicationStatement", "MedicationRequest") and status not in TAKEN_STATUSES:
        return f"its status is {status}, so the medicine may not be taken now; ask"
    if resource.kind in ("ServiceRequest", "Procedure") and status in ("revoked", "entered-in-error", "not-done"):
        return f"its status is {status}"
    if resource.kind == "Condition":
        coded = resource.child("verificationStatus").children("coding")
        refuted = next((code for coding in coded if (code := coding.text("code")) in _REFUTED), "")
        return f"its verification status is {refuted}" if refuted else ""
    return ""
