"""The sections that sort people and reports: risk level, posture to start in, triage of reported symptoms."""

from __future__ import annotations

from haleward.safety.conditions import to_sentence
from haleward.safety.inputs import default_inputs
from haleward.safety.parts import PlacementRule, RiskItem, Symptom
from haleward.safety.protocol import Protocol
from haleward.safety.words import words_of
from haleward.web.protocol.document import Line, Part, Section

SOON_OTHER = {
    "emergency": "emergency",
    "same_day": "seen the same day",
    "next_working_day": "seen the next working day",
    "self_care": "self-care",
}


def risk(protocol: Protocol) -> Section:
    """The risk level, band by band."""
    scheme = protocol.stratification
    titles = {
        "high": "High: any one of these",
        "moderate": "Moderate: any one of these, and none above",
        "low": "Low: every one of these",
    }
    parts = tuple(
        Part(title, tuple(_risk_item(item) for item in scheme.items if item.band == band))
        for band, title in titles.items()
    )
    return Section("risk", "Risk level", f"{scheme.scheme}. A draft that a clinician confirms.", parts)


def _risk_item(item: RiskItem) -> Line:
    left_out = " Left out, and said so, when it was not measured." if item.omit_if_unknown else ""
    when = to_sentence(item.condition)
    return Line((item.id,), when, f"{item.criterion}.{left_out}", sources=item.sources, trust=item.trust)


def placement(protocol: Protocol) -> Section:
    """The posture to start in."""
    rules = protocol.placement
    needs = (
        _never("placement.standing_needs", "free-standing", rules.standing_needs),
        _never("placement.supported_needs", "standing, even with support,", rules.supported_needs),
        _never("placement.narrow_base_needs", "free-standing on a narrow base", rules.narrow_base_needs),
    )
    return Section(
        "placement",
        "Posture to start in",
        "The most supported posture that any rule gives.",
        (Part("Rules", tuple(map(_placement_rule, rules.rules))), Part("What must be known", needs)),
    )


def _never(anchor: str, posture_words: str, names: tuple[str, ...]) -> Line:
    labels = ", ".join(default_inputs()[name].label for name in names)
    return Line((anchor,), f"Never {posture_words} while one of these is not known: {labels}.", shown_id=False)


def _placement_rule(rule: PlacementRule) -> Line:
    return Line(
        (rule.id,), to_sentence(rule.condition), words_of("effect")[rule.effect], sources=rule.sources, trust=rule.trust
    )


def triage(protocol: Protocol) -> Section:
    """What a person can report, by how soon somebody must act."""
    titles = {
        "emergency": "Emergency: call now",
        "same_day": "The same day",
        "next_working_day": "The next working day",
        "self_care": "Self-care, with advice",
    }
    seen: set[str] = set()
    parts = []
    for level, title in titles.items():
        lines = tuple(_symptom(one, seen) for one in protocol.concerns.symptoms if one.level == level)
        parts.append(Part(title, lines))
    other = SOON_OTHER[protocol.concerns.unknown_level]
    about = f"What a person can report. An unsure answer goes one level up. Anything else, and free text: {other}."
    return Section("triage", "Triage of reported symptoms", about, tuple(part for part in parts if part.lines))


def _symptom(symptom: Symptom, seen: set[str]) -> Line:
    """A triage id that two symptoms share, or a rule's own id, is anchored once on the page."""
    ids = [one for one in symptom.ids if one not in seen and not one.startswith("R")]
    seen.update(ids)
    usual = " Also what a bare report of the topic counts as." if symptom.usual else ""
    rules = f" ({', '.join(symptom.ids)})" if symptom.ids else ""
    text = f"Shows the advice on “{symptom.topic}”{rules}.{usual}"
    anchors = (f"symptom.{symptom.key}", *ids)
    return Line(anchors, symptom.label, text, sources=symptom.sources, trust=symptom.trust, shown_id=False)
