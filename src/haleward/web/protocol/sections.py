"""The sections of the document, in the order of care, made from one loaded protocol."""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from typing import Any

from haleward.physiology.tables import rows
from haleward.safety.conditions import to_sentence
from haleward.safety.inputs import default_inputs
from haleward.safety.own_words import numbers_for, wording_for
from haleward.safety.parts import Check, Need, PlacementRule, RiskItem, Rule, ServiceNumber, Setting, Symptom
from haleward.safety.protocol import Protocol
from haleward.safety.words import code_words
from haleward.web.project.templatetags.show import posture, words
from haleward.web.protocol.document import Line, Part, Section
from haleward.wording import default_wording, placeholders

STAGES = {
    "session": "Readings and questions of the day",
    "environment": "The place and the weather",
    "home": "At home",
    "groups": "Special groups",
    "during": "During the session",
    "after": "After the session",
}
EFFECTS = {
    "seated": f"Start {posture('seated')}.",
    "hand_supported": f"Start {posture('hand_supported')}.",
    "narrow_base_supported": "Hand support for narrow-base and single-leg tasks.",
    "wide_base_standing": "Start free-standing on a wide base only.",
    "standing": f"Start {posture('standing')}.",
    "balance_emphasis": "Add balance work and supervision.",
    "one_level_down": "One level more support today.",
}


def sections_of(protocol: Protocol) -> tuple[Section, ...]:
    """The whole protocol, section by section."""
    return (
        _entry(protocol),
        _risk(protocol),
        _gate(protocol),
        Section("stop", "Stop rules", "When to stop, ease off or call.", _stages(protocol, "during", "after")),
        Section(
            "resistance",
            "Resistance work: timing and limits",
            "When work against resistance may start, and what limits it.",
            (Part("", tuple(map(_rule, _of_stage(protocol, "resistance")))),),
        ),
        _policy(protocol, "intensity", "Intensity", "How hard to walk, and when heart rate is not used."),
        _policy(protocol, "dose", "Dose", "What a first programme contains."),
        _policy(protocol, "progression", "Progression", "When a next step is proposed. A lead decides each one."),
        _placement(protocol),
        _triage(protocol),
        *_wording(protocol),
        _numbers(protocol),
        *_kept(protocol),
    )


def anchors_of(protocol: Protocol) -> frozenset[str]:
    """Every id that the document has an anchor for: rules, risk items, placement rules, policies, triage."""
    lines = [line for section in sections_of(protocol) for part in section.parts for line in part.lines]
    keys = [section.key for section in sections_of(protocol)]
    return frozenset([*keys, *(anchor for line in lines for anchor in line.anchors)])


def _of_stage(protocol: Protocol, stage: str) -> list[Rule]:
    return [rule for rule in protocol.rules if rule.stage == stage]


def _stages(protocol: Protocol, *stages: str) -> tuple[Part, ...]:
    return tuple(Part(STAGES[stage], tuple(map(_rule, _of_stage(protocol, stage)))) for stage in stages)


def _rule(rule: Rule) -> Line:
    return Line((rule.id,), to_sentence(rule.condition), rule.text, rule.level, rule.urgency, rule.sources, rule.trust)


def _entry(protocol: Protocol) -> Section:
    rules = Part("Rules", tuple(map(_rule, _of_stage(protocol, "entry"))))
    return Section(
        "entry",
        "Referral and entry",
        "Who may start, and what stands against it. The strictest rule that fires wins.",
        (rules, _needs(protocol, "entry", "What must be known before go ahead")),
    )


def _gate(protocol: Protocol) -> Section:
    questions = Part("The day’s questions", tuple(_question(check, protocol) for check in protocol.checks))
    return Section(
        "gate",
        "Gate before each session",
        "May this person exercise today? What is missing never counts as normal.",
        (
            *_stages(protocol, "session", "environment", "home", "groups"),
            questions,
            _needs(protocol, "hall", "What must be known with staff"),
            _needs(protocol, "home", "What must be known at home"),
        ),
    )


def _needs(protocol: Protocol, gate: str, title: str) -> Part:
    needs = protocol.gates[gate].needs  # type: ignore[index]
    return Part(title, tuple(_need(need, gate) for need in needs))


def _need(need: Need, gate: str) -> Line:
    label = default_inputs()[need.input].label
    when = f"{label[:1].upper()}{label[1:]}"
    then = "Always asked." if need.when is None else f"Asked when: {_lower(to_sentence(need.when))}"
    return Line((f"{gate}.{need.input}",), when, then, shown_id=False)


def _lower(sentence: str) -> str:
    return f"{sentence[:1].lower()}{sentence[1:]}"


def _question(check: Check, protocol: Protocol) -> Line:
    text = _read_out(wording_for(protocol).template(check.wording), protocol)
    when = (
        "Always asked" if check.ask_when is None else f"Asked when: {_lower(to_sentence(check.ask_when)).rstrip('.')}"
    )
    places = " and ".join({"hall": "with staff", "home": "at home"}[place] for place in check.places)
    return Line(
        (f"check.{check.wording}",),
        text,
        f"{when}; {places}.",
        sources=(check.source,),
        trust=check.trust,
        shown_id=False,
    )


def _read_out(template: str, protocol: Protocol) -> str:
    """A line with the numbers of the protocol in it; what each service fills in stands as what it is."""
    service = {row["key"]: f"({row['meaning']})" for row in rows("service")}
    given = {**protocol.wording_values, **numbers_for(protocol, {})}
    return template.format_map({name: given.get(name) or service[name] for name in placeholders(template)})


def _risk(protocol: Protocol) -> Section:
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


def _placement(protocol: Protocol) -> Section:
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
    return Line((rule.id,), to_sentence(rule.condition), EFFECTS[rule.effect], sources=rule.sources, trust=rule.trust)


def _triage(protocol: Protocol) -> Section:
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


SOON_OTHER = {
    "emergency": "emergency",
    "same_day": "seen the same day",
    "next_working_day": "seen the next working day",
    "self_care": "self-care",
}


def _symptom(symptom: Symptom, seen: set[str]) -> Line:
    """A triage id that two symptoms share, or a rule's own id, is anchored once on the page."""
    ids = [one for one in symptom.ids if one not in seen and not one.startswith("R")]
    seen.update(ids)
    usual = " Also what a bare report of the topic counts as." if symptom.usual else ""
    rules = f" ({', '.join(symptom.ids)})" if symptom.ids else ""
    text = f"Shows the advice on “{symptom.topic}”{rules}.{usual}"
    anchors = (f"symptom.{symptom.key}", *ids)
    return Line(anchors, symptom.label, text, sources=symptom.sources, trust=symptom.trust, shown_id=False)


@dataclass(frozen=True)
class FieldWords:
    """How a policy's field is named and read out; ``unit`` is "" where the value has none."""

    key: str
    label: str
    unit: str
    sentence: str

    def filled(self, value: Any) -> str:
        """The sentence with the value in it; that nothing is set, where it is so."""
        if value is None:
            return f"{self.label[:1].upper()}{self.label[1:]}: not set."
        percent = f"{value:.0%}" if isinstance(value, int | float) else ""
        return self.sentence.format(value=_value(value), percent=percent)


@cache
def field_words() -> dict[str, FieldWords]:
    """The words of every policy field, by ``section.field``."""
    return {row["key"]: FieldWords(**row) for row in rows("protocol_fields")}


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:g}"
    if isinstance(value, tuple):
        return ", ".join(code_words(one) for one in value) or "none"
    return code_words(value)


def _policy(protocol: Protocol, key: str, title: str, about: str) -> Section:
    policy = getattr(protocol.policies, key)
    values = {field.name: getattr(policy, field.name) for field in fields(policy)}
    lines = [
        Line((name,), found.filled(values.get(name.partition(".")[2])), shown_id=False)
        for name, found in field_words().items()
        if name.startswith(f"{key}.")
    ]
    return Section(key, title, f"{about} Source: {policy.source}.", (Part("", tuple(lines)),))


def _wording(protocol: Protocol) -> tuple[Section, ...]:
    """The protocol's own wording, where it differs from the wording that ships with the product."""
    lines = tuple(
        Line(
            (f"wording.{own.key}",),
            f"“{own.text}”",
            f"Instead of “{default_wording().template(own.key)}”. Source: {own.source}.",
            shown_id=False,
        )
        for own in protocol.wording_overrides
    )
    if not lines:
        return ()
    return (Section("wording", "Own wording", "Lines that differ from those that ship.", (Part("", lines),)),)


def _kept(protocol: Protocol) -> tuple[Section, ...]:
    """What the analysis found and the team keeps."""
    lines = tuple(
        Line((f"accepted.{one.finding.replace(' ', '.')}",), f"{one.finding}: {one.reason}", shown_id=False)
        for one in protocol.accepted
    )
    if not lines:
        return ()
    about = "What the checks found in the rules, and why it is right as it is."
    return (Section("accepted", "Findings that are kept", about, (Part("", lines),)),)


def _numbers(protocol: Protocol) -> Section:
    return Section(
        "numbers",
        "Numbers that wording prints",
        "What is read out to people. A number that a rule uses is the same in that rule.",
        (
            Part("Of the protocol", tuple(_setting(setting) for setting in protocol.settings.values())),
            Part("Of the service", tuple(_number(number) for number in protocol.numbers.values())),
        ),
    )


def _number(number: ServiceNumber) -> Line:
    meaning = {row["key"]: row["meaning"] for row in rows("service")}[number.name]
    given = f"“{number.text}”" if number.text else "Each service fills in its own"
    needed = "; needed before a plan is handed out." if number.needed else "."
    when = f"{meaning[:1].upper()}{meaning[1:]}."
    return Line(
        (f"number.{number.name}",), when, f"{given}{needed}", "", "", number.sources, number.trust, shown_id=False
    )


def _setting(setting: Setting) -> Line:
    values = " and ".join(f"{value:g}" for value in setting.value)
    unit = "" if setting.unit in ("count", "1") else f" {setting.unit}"
    same = f" The same as in {', '.join(setting.same_in)}." if setting.same_in else ""
    named = field_words().get(f"setting.{setting.name}")
    label = named.label if named else words(setting.name)
    when = f"{label[:1].upper()}{label[1:]}: {values}{unit}."
    text = f"Read out as “{setting.text}”.{same}"
    return Line((f"setting.{setting.name}",), when, text, sources=setting.sources, trust=setting.trust, shown_id=False)
