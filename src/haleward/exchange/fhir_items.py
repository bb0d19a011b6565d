"""Patient, request, diagnoses and medicines of a referral, as proposals."""

from __future__ import annotations

import re

from haleward.exchange.fhir_bundle import Bundle, Resource
from haleward.exchange.fhir_node import Node, PartialDate, concept_text
from haleward.exchange.fhir_tables import events_in, medicines_in
from haleward.exchange.proposal import ProposedBirth, ProposedEvent, ProposedMedicine, ProposedText

TAKEN_STATUSES = ("active", "intended", "unknown", "")  # "" is against R4 and is read with a remark
_NEGATIVE = re.compile(r"\b(no|not|without|never|excluded|ruled out|suspected|family history)\b", re.IGNORECASE)


def person_texts(patient: Resource) -> tuple[ProposedText, ...]:
    """Names, sex, language and telephone of the Patient."""
    found = [*_name(patient)]
    gender = patient.text("gender")
    if gender in ("female", "male"):
        assumed = "The administrative gender is proposed as the sex for reference values; check."
        found.append(ProposedText("sex", gender, patient.at("gender"), assumed))
    for number, entry in enumerate(patient.children("communication")):
        language, assumed = concept_text(entry, "language")
        if language:
            found.append(ProposedText("language", language, patient.at(f"communication[{number}].language"), assumed))
    for number, entry in enumerate(patient.children("telecom")):
        if entry.text("system") == "phone" and entry.text("value"):
            found.append(ProposedText("phone", entry.text("value"), patient.at(f"telecom[{number}].value")))
    return tuple(found)


def birth(patient: Resource) -> ProposedBirth | None:
    """The date of birth; a year alone is legal in FHIR and is asked about."""
    given = patient.day("birthDate")
    if given is None:
        return None
    assumed = "" if given.on else f"Only {given.text} is given; no day was made up."
    return ProposedBirth(given.on, given.text, patient.at("birthDate"), assumed)


def request_texts(request: Resource, bundle: Bundle) -> tuple[ProposedText, ...]:
    """What is asked for, by whom, when, how soon and why."""
    found: list[ProposedText] = []
    words, assumed = concept_text(request, "code")
    _add(found, "request", words, request.at("code"), assumed)
    requester = request.child("requester")
    known = bundle.resolve(request, "requester")
    _add(found, "requester", requester.text("display") or (_own_name(known) if known else ""), request.at("requester"))
    _add(found, "requested_on", request.text("authoredOn")[:10], request.at("authoredOn"))
    _add(found, "priority", request.text("priority"), request.at("priority"))
    for number, reason in enumerate(request.children("reasonCode")):
        words = reason.text("text") or next((c.text("display") for c in reason.children("coding")), "")
        _add(found, "reason", words, request.at(f"reasonCode[{number}]"))
    for number, note in enumerate(request.children("note")):
        _add(found, "note", note.text("text"), request.at(f"note[{number}].text"))
    return tuple(found)


def event(resource: Resource) -> ProposedEvent | None:
    """A Condition or Procedure in the referrer's words, with the event type that its words suggest."""
    words, assumed = concept_text(resource, "code")
    if not words:
        return None
    given, where = _event_day(resource)
    hits = events_in(words)
    if _NEGATIVE.search(words):
        kind, reading = None, "The words rule something out or are not certain; read them before choosing an event."
    elif hits:
        kind = hits[0][1]
        also = "".join(f', and "{word}" as {other}' for word, other in hits[1:] if other != kind)
        reading = f'"{hits[0][0]}" was read as {kind}{also}; check.'
    else:
        kind, reading = None, "No heart event was recognised in these words; choose one or leave it out."
    return ProposedEvent(
        text=words,
        kind=kind,
        on=given.on if given else None,
        on_text=given.text if given else where,
        came_from=resource.at("code"),
        assumed=f"{assumed} {reading}".strip(),
    )


def medicines(resource: Resource, bundle: Bundle) -> tuple[ProposedMedicine, ...]:
    """One proposal for each medicine named in a MedicationStatement or MedicationRequest."""
    words, assumed = concept_text(resource, "medicationCodeableConcept")
    came_from = resource.at("medicationCodeableConcept")
    if resource.has("medicationReference"):
        came_from = resource.at("medicationReference")
        medication = bundle.resolve(resource, "medicationReference", holder=resource)
        words = resource.child("medicationReference").text("display")
        if medication is not None:
            words, assumed = concept_text(medication, "code")
    if not words:
        return ()
    key = "dosage" if resource.kind == "MedicationStatement" else "dosageInstruction"
    dose = next((text for entry in resource.children(key) if (text := entry.text("text"))), "")
    given, since_note = _since(resource)
    status_note = "" if resource.text("status") else "No status is given; it was taken as current."
    known = medicines_in(words)
    many = "More than one medicine is named here; the dose may be of either." if len(known) > 1 else ""
    found = []
    for name, drug_class in known or ((words, None),):
        reading = (
            f'"{name}" is listed as {drug_class}; check.' if drug_class else "Its class is not known here; choose it."
        )
        remarks = (assumed, reading, many, since_note, status_note)
        proposed = dose or _dose_in(words, name)
        since = given.on if given else None
        found.append(
            ProposedMedicine(words, name, proposed, drug_class, since, came_from, " ".join(filter(None, remarks)))
        )
    return tuple(found)


def _name(patient: Resource) -> list[ProposedText]:
    """The official or usual name, else the first one that is not old."""
    names = [(n, name) for n, name in enumerate(patient.children("name")) if name.text("use") not in ("old", "maiden")]
    order = {"official": 0, "usual": 1}
    ranked = sorted(names, key=lambda item: order.get(item[1].text("use"), 2))
    found: list[ProposedText] = []
    for number, name in ranked[:1]:
        given = name.texts("given")
        _add(found, "first_name", given[0] if given else "", patient.at(f"name[{number}].given[0]"))
        _add(found, "last_name", name.text("family"), patient.at(f"name[{number}].family"))
        if not found:
            assumed = "The name is not split into first and family name; split it."
            _add(found, "name", name.text("text"), patient.at(f"name[{number}].text"), assumed)
    return found


def _own_name(resource: Resource) -> str:
    """The name of an Organization (text) or a Practitioner (HumanName)."""
    if isinstance(resource.data.get("name"), str):
        return resource.text("name")
    name = next(iter(resource.children("name")), Node({}, ""))
    return name.text("text") or " ".join([*name.texts("given"), name.text("family")]).strip()


def _event_day(resource: Resource) -> tuple[PartialDate | None, str]:
    """When it happened: a date, or words ("" if neither)."""
    stem = "performed" if resource.kind == "Procedure" else "onset"
    given = resource.day(f"{stem}DateTime") or resource.child(f"{stem}Period").day("start")
    return given, resource.text(f"{stem}String")


def _since(resource: Resource) -> tuple[PartialDate | None, str]:
    if resource.kind == "MedicationRequest":
        given = resource.day("authoredOn")
        return given, '"Since" is the day it was prescribed; ask if it was taken before.' if given else ""
    given = resource.day("effectiveDateTime") or resource.child("effectivePeriod").day("start")
    return given, "" if given is None or given.on else f'"Since" is given as {given.text} only.'


def _dose_in(words: str, name: str) -> str:
    """What follows the name in "bisoprolol 2.5 mg once daily", if it starts with a figure."""
    rest = re.split(re.escape(name), words, maxsplit=1, flags=re.IGNORECASE)[-1].strip(" ,")
    return rest if rest != words and re.match(r"\d", rest) else ""


def _add(found: list[ProposedText], field: str, value: str, came_from: str, assumed: str = "") -> None:
    if value:
        found.append(ProposedText(field, value, came_from, assumed))
