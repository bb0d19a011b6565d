"""Words against numbers: a rule or setting whose sentence gives another number than its condition or value, advice that
contradicts its level, and placeholders that nothing fills.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping

from haleward.physiology.tables import rows
from haleward.safety.analysis.finding import Finding
from haleward.safety.conditions import Condition, numbers_of
from haleward.safety.own_words import unsayable, wording_for
from haleward.safety.parts import Rule, ServiceNumber, Setting
from haleward.safety.protocol import Protocol, default_protocol
from haleward.wording import default_wording, placeholders, spoken

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_STEPS = (1, 0.1)  # "2 to 20 days" says "under 21", "4.0 to 4.9" says "under 5.0"


def number_findings(protocol: Protocol) -> Iterator[Finding]:
    """Sentences that give other numbers than the condition or the value they describe."""
    told = [
        *(("rule", rule.id, f"Rule {rule.id}", rule.wording, rule.condition) for rule in protocol.rules),
        *(("risk_item", i.id, f"Risk item {i.id}", i.criterion, i.condition) for i in protocol.stratification.items),
        *(("placement_rule", r.id, f"Placement rule {r.id}", r.wording, r.condition) for r in protocol.placement.rules),
    ]
    for section, key, title, text, condition in told:
        odd = _odd_one(text, condition)
        if odd is not None:
            said = f'{title} says "{text}", but its condition compares with {odd:g}. Make the sentence say {odd:g}, or'
            yield Finding("says-otherwise", (key,), (section, key), f"{said} mend the condition.")
    for name, setting in protocol.settings.items():
        for value in setting.value:
            if not _printed(value, setting):
                said = (
                    f'Setting {name} has the value {value:g} {setting.unit}, but its text is "{setting.text}". The text'
                )
                yield Finding("says-otherwise", (name,), ("setting", name), f"{said} must say {value:g}.")


def level_findings(protocol: Protocol) -> Iterator[Finding]:
    """Rules whose outcome contradicts itself, e.g. an urgent call at a level that lets the session go ahead."""
    for rule in protocol.rules:
        problem = _contradicts_itself(rule)
        if problem:
            said = f"Rule {rule.id} contradicts itself: {problem}."
            yield Finding("contradiction", (rule.id,), ("rule", rule.id), said)


def placeholder_findings(protocol: Protocol) -> Iterator[Finding]:
    """Placeholders of the wording that this protocol should fill, since the default does, and does not."""
    given = {*protocol.settings, *protocol.numbers}
    usual = default_protocol(protocol.jurisdiction)
    expected = {*usual.settings, *(usual.numbers if protocol.numbers else ())}
    wording = wording_for(protocol)
    for name in sorted(expected - given):
        keys = [key for key in wording.keys if name in placeholders(wording.template(key))]
        if keys:
            said = f"Nothing gives {{{name}}} a value, which the wording of {_first(keys)} prints. Add a [[setting]] or"
            yield Finding("no-value", (name,), ("setting", name), f"{said} [[number]] of that name.")
    number = protocol.numbers.get("emergency_number")
    if number is not None and not _NUMBER.search(number.text):
        is_what = f'is "{number.text}"' if number.text else "is empty"
        said = f"The emergency number {is_what}, and every emergency line prints it. Write it, e.g. 999, 911 or 112."
        yield Finding("no-value", ("emergency_number",), ("number", "emergency_number"), said)


def unsayable_findings(protocol: Protocol) -> Iterator[Finding]:
    """Texts of settings and numbers that do not fit into the sentences that print them."""
    given: tuple[tuple[str, Mapping[str, Setting | ServiceNumber]], ...]
    given = (("setting", protocol.settings), ("number", protocol.numbers))
    for section, texts in given:
        for name, one in texts.items():
            if why := unsayable(name, one.text):
                yield Finding("unsayable", (name,), (section, name), f"{section.capitalize()} {name}: {why}")


def own_wording_findings(protocol: Protocol) -> Iterator[Finding]:
    """Own lines that no longer print the emergency number or a limit of the protocol, which the usual line prints."""
    for own in protocol.wording_overrides:
        usual = placeholders(default_wording().template(own.key))
        for name in usual:
            if name not in placeholders(own.text) and (name == "emergency_number" or name in protocol.settings):
                said = f'The wording "{own.key}" no longer prints {{{name}}}, which the usual line does, so a change of'
                said += f" that number would not reach it. Put {{{name}}} back."
                yield Finding("lost-value", (own.key, name), ("wording", own.key), said)


def _odd_one(text: str, condition: Condition) -> float | None:
    """A number of the condition that the text lacks, if the text gives one that the condition lacks."""
    said = {float(found) for found in _NUMBER.findall(text)}
    compared = numbers_of(condition)
    if all(any(_near(one, number) for number in compared) for one in said):
        return None
    left = [number for number in sorted(compared) if not any(_near(one, number) for one in said)]
    return next((number for number in left if _word(number) not in text.lower()), None)


def _near(said: float, number: float) -> bool:
    return any(abs(said - (number - step)) < 1e-9 for step in (0, *_STEPS))


def _word(number: float) -> str:
    return spoken(number) if 0 <= number < 1000 else f"{number:g}"


def _printed(value: float, setting: Setting) -> bool:
    """Whether a setting's text gives the value, in figures or words; hours may be said as days."""
    said = [value, *([value / 24] if setting.unit == "h" and value % 24 == 0 else [])]
    words = re.findall(r"[a-z]+|\d+(?:\.\d+)?", setting.text.lower())
    text = f" {' '.join(words)} "
    return any(f" {form} " in text for one in said for form in (f"{one:g}", _word(one)))


def _contradicts_itself(rule: Rule) -> str:
    level, urgency = rule.level.replace("_", " "), rule.urgency.replace("_", " ")
    if rule.urgency == "emergency" and rule.level != "block":
        return f'an emergency cannot leave the session open, as the level "{level}" does; it must be "block"'
    if rule.urgency != "none" and rule.level in ("caution", "inform"):
        return f'the urgency "{urgency}" needs a level that stops or asks, not "{level}"'
    stops, clears = _phrases("stop"), _phrases("clear")
    if rule.level in ("caution", "inform") and rule.advice.startswith(stops):
        return f'its advice begins "{_opening(rule.advice)}", but the level "{level}" lets the session go ahead'
    if rule.level == "block" and rule.advice.startswith(clears):
        return f'its advice begins "{_opening(rule.advice)}", but the level "{level}" stops the session'
    return ""


def _phrases(means: str) -> tuple[str, ...]:
    return tuple(row["opening"] for row in rows("advice_openings") if row["means"] == means)


def _opening(advice: str) -> str:
    return re.split(r"[.;:,]", advice)[0]


def _first(keys: Collection[str]) -> str:
    first, *rest = keys
    return f"{first} and {len(rest)} more" if rest else first
