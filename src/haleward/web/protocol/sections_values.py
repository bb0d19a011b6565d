"""The sections made of values: policies, own wording, the numbers that wording prints, findings that are kept."""

from __future__ import annotations

from dataclasses import fields

from haleward.safety.field_words import field_words, number_meaning, setting_label
from haleward.safety.parts import ServiceNumber, Setting
from haleward.safety.protocol import Protocol
from haleward.safety.words import ended
from haleward.web.protocol.document import Line, Part, Section
from haleward.wording import default_wording


def policy(protocol: Protocol, key: str, title: str, about: str) -> Section:
    """One policy, a sentence for each value."""
    policy = getattr(protocol.policies, key)
    values = {field.name: getattr(policy, field.name) for field in fields(policy)}
    lines = [
        Line((name,), found.filled(values.get(name.partition(".")[2])), shown_id=False)
        for name, found in field_words().items()
        if name.startswith(f"{key}.")
    ]
    return Section(key, title, f"{about} Source: {policy.source}.", (Part("", tuple(lines)),))


def wording(protocol: Protocol) -> tuple[Section, ...]:
    """The protocol's own wording, where it differs from the wording that ships with the product."""
    lines = tuple(
        Line(
            (f"wording.{own.key}",),
            f"“{own.text}”",
            ended(f"Instead of “{default_wording().template(own.key)}”. Source: {own.source}."),
            shown_id=False,
        )
        for own in protocol.wording_overrides
    )
    if not lines:
        return ()
    return (Section("wording", "Own wording", "Lines that differ from those that ship.", (Part("", lines),)),)


def numbers(protocol: Protocol) -> Section:
    """What is read out to people."""
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
    meaning = number_meaning(number.name)
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
    label = setting_label(setting.name)
    when = f"{label[:1].upper()}{label[1:]}: {values}{unit}."
    text = ended(f"Read out as “{setting.text}”.{same}")
    return Line((f"setting.{setting.name}",), when, text, sources=setting.sources, trust=setting.trust, shown_id=False)


def kept(protocol: Protocol) -> tuple[Section, ...]:
    """What the analysis found and the team keeps."""
    lines = tuple(
        Line((f"accepted.{one.finding.replace(' ', '.')}",), f"{one.finding}: {one.reason}", shown_id=False)
        for one in protocol.accepted
    )
    if not lines:
        return ()
    about = "What the checks found in the rules, and why it is right as it is."
    return (Section("accepted", "Findings that are kept", about, (Part("", lines),)),)
