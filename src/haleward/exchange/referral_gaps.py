"""What a referral does not say, each with the question that would settle it."""

from __future__ import annotations

from dataclasses import replace

from haleward.exchange.proposal import Missing, ProposedEvent, ProposedMedicine, ReferralProposal
from haleward.wording import default_wording

# Events after which the breastbone may have been opened, so that the question must be put.
_MAY_OPEN_BREASTBONE = ("cabg", "valve", "transplant", "lvad", "aortic_dissection", "aortic_repair", None)


def gaps(proposal: ReferralProposal) -> ReferralProposal:
    """``proposal`` with its list of missing things, in the order in which a team asks for them."""
    return replace(
        proposal, missing=(*_person(proposal), *_events(proposal), *_medicines(proposal), *_readings(proposal))
    )


def _person(proposal: ReferralProposal) -> list[Missing]:
    missing = []
    if not (proposal.text("first_name") and proposal.text("last_name")):
        missing.append(_ask("name", "referral_ask_name"))
    if proposal.birth is None:
        missing.append(_ask("date of birth", "referral_ask_birth"))
    elif proposal.birth.on is None:
        missing.append(_ask("full date of birth", "referral_ask_birth_day", year=proposal.birth.text))
    if not proposal.text("sex"):
        missing.append(_ask("sex", "referral_ask_sex"))
    if not proposal.text("language"):
        missing.append(_ask("language", "ask_language"))
    return missing


def _events(proposal: ReferralProposal) -> list[Missing]:
    hearts = [event for event in proposal.events if event.kind is not None]
    missing = [] if hearts else [_ask("heart event", "referral_ask_event")]
    missing.extend(_event_day(event) for event in hearts if event.on is None)
    missing.append(_ask("date of discharge", "ask_discharge"))
    if not hearts or any(event.kind in _MAY_OPEN_BREASTBONE for event in hearts):
        missing.append(_ask("breastbone", "ask_sternum"))
    missing.append(_ask("heart rhythm", "ask_rhythm"))
    missing.append(_ask("heart device", "ask_device"))
    return missing


def _event_day(event: ProposedEvent) -> Missing:
    if event.on_text:
        return _ask("day of the event", "referral_ask_event_day", value=event.on_text, event=event.text)
    return _ask("day of the event", "ask_event_date")


def _medicines(proposal: ReferralProposal) -> list[Missing]:
    if not proposal.medicines:
        return [_ask("medicines", "referral_ask_medicines"), _ask("nitrate", "ask_nitrate")]
    missing = [question for medicine in proposal.medicines for question in _medicine(medicine)]
    missing.append(_ask("nitrate", "ask_nitrate"))
    classes = {medicine.drug_class for medicine in proposal.medicines}
    if classes & {"insulin", "sulfonylurea", "sglt2", "metformin_glp1"}:
        missing.append(_ask("glucose", "ask_glucose"))
    if "beta_blocker" in classes and proposal.reading("resting_bpm"):
        missing.append(_ask("beta-blocker before the reading", "ask_beta_blocker"))
    return missing


def _medicine(medicine: ProposedMedicine) -> list[Missing]:
    missing = []
    if medicine.drug_class is None:
        missing.append(_ask("class of a medicine", "referral_ask_medicine_class", medicine=medicine.name))
    if not medicine.dose or medicine.since is None:
        missing.append(_ask("dose and start of a medicine", "ask_medicine_dose", medicine=medicine.name))
    return missing


def _readings(proposal: ReferralProposal) -> list[Missing]:
    wanted = (("ejection fraction", "lvef_pct", "ask_ef"), ("blood pressure", "systolic_mmhg", "ask_bp"))
    also = (("resting heart rate", "resting_bpm", "ask_hr"),)
    return [_ask(what, key) for what, name, key in (*wanted, *also) if proposal.reading(name) is None]


def _ask(what: str, key: str, **values: str) -> Missing:
    return Missing(what, key, default_wording().text(key, values))
