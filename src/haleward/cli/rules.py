"""``haleward protocol``: check a team's protocol file, or show its rules."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterable
from pathlib import Path

from haleward import capacity, physiology  # noqa: F401  (importing the rooms registers their formulas)
from haleward.cli.output import complain, say, say_json
from haleward.errors import FileFault
from haleward.formula import REGISTRY
from haleward.plain import to_plain
from haleward.safety.analysis import Checked, Finding, check_file
from haleward.safety.field_words import number_meaning, setting_label
from haleward.safety.parts import OwnWording, Rule, ServiceNumber, Setting
from haleward.safety.protocol import Protocol, default_protocol, load_protocol
from haleward.safety.words import ended, words_of
from haleward.wording import default_wording

BAD_INPUT = 2  # the exit status of a protocol that must not be signed as it is


def check(options: Namespace) -> int:
    """Read the file and analyse it: 0 if nothing stands against signing it, else 2.

    Faults that keep the file from being read are told by the error it raises; for a machine they are in the JSON.
    """
    try:
        checked = check_file(options.file, formulas=REGISTRY)
    except FileFault as fault:
        if not options.json:
            raise
        say_json({"file": str(options.file), "faults": fault.faults, "findings": []})
        return BAD_INPUT
    if options.json:
        found = {"findings": _plain(checked.findings), "accepted": _plain(checked.accepted)}
        say_json({"file": str(options.file), "faults": [], **found, **_head(checked.protocol)})
    elif checked.findings:
        complain(*(_line(options.file, one) for one in checked.findings), _summary(checked))
    else:
        say(f"{options.file}: no fault found. {_headline(checked.protocol)}")
    return BAD_INPUT if checked.serious else 0


def show(options: Namespace) -> int:
    """The head and every rule of a protocol, in the words of the Protocol page; for a machine its codes."""
    protocol = load_protocol(options.file) if options.file else default_protocol()
    if options.json:
        parts = {"rules": protocol.rules, "settings": protocol.settings, "numbers": protocol.numbers}
        say_json({**_head(protocol), **{name: to_plain(part) for name, part in parts.items()}})
        return 0
    say(_headline(protocol))
    for stage, title in words_of("stage").items():
        _say_part(title, (_rule(rule) for rule in protocol.rules if rule.stage == stage))
    _say_part("Numbers that wording prints", map(_setting, protocol.settings.values()))
    _say_part("The service’s own numbers", map(_number, protocol.numbers.values()))
    _say_part("Own wording", map(_own_wording, protocol.wording_overrides))
    return 0


def _say_part(title: str, lines: Iterable[str]) -> None:
    told = tuple(lines)
    if told:
        say("", title, *(f"  {line}" for line in told))


def _rule(rule: Rule) -> str:
    """One rule: its id, its level as the gate reads it, and what it says."""
    levels = words_of("level")
    return f"{rule.id}  {levels[rule.level]:{max(map(len, levels.values()))}}  {rule.text}"


def _setting(setting: Setting) -> str:
    label = setting_label(setting.name)
    return f"{label[:1].upper()}{label[1:]}: {setting.text} ({', '.join(setting.sources)}; {setting.trust})"


def _number(number: ServiceNumber) -> str:
    meaning = number_meaning(number.name)
    return f"{meaning[:1].upper()}{meaning[1:]}: {number.text or 'each service fills in its own'}"


def _own_wording(own: OwnWording) -> str:
    return ended(f"“{own.text}” instead of “{default_wording().template(own.key)}”. Source: {own.source}.")


def chosen_protocol(path: Path | None) -> Protocol:
    """The protocol in ``path``, or the default one."""
    return default_protocol() if path is None else load_protocol(path)


def _line(path: Path, found: Finding) -> str:
    """One finding as a compiler would tell it, with the name by which the file may accept it."""
    place = f"{path}, line {found.line}" if found.line else str(path)
    where = f" ({', '.join(found.jurisdictions)})" if found.jurisdictions else ""
    return f"{place}: {found.sentence}{where} [{found.name}]"


def _summary(checked: Checked) -> str:
    serious, all_found = len(checked.serious), len(checked.findings)
    accepted = f" The file accepts {len(checked.accepted)} others." if checked.accepted else ""
    if not serious:
        return f"Nothing stands against signing; {all_found} to look at.{accepted}"
    mend = "Mend it, or accept it" if serious == 1 else "Mend each, or accept it"
    return f"{serious} of {all_found} stand against signing. {mend} by its name with a reason ([[accepted]]).{accepted}"


def _plain(found: tuple[Finding, ...]) -> list[dict[str, object]]:
    return [
        {
            "name": one.name,
            "kind": one.kind,
            "ids": one.ids,
            "section": one.section,
            "line": one.line,
            "serious": one.serious,
            "jurisdictions": one.jurisdictions,
            "sentence": one.sentence,
        }
        for one in found
    ]


def _head(protocol: Protocol) -> dict[str, object]:
    return {
        "id": protocol.id,
        "version": protocol.version,
        "status": protocol.status,
        "jurisdiction": protocol.jurisdiction,
        "signed_by": protocol.signed_by,
        "rule_count": len(protocol.rules),
    }


def _headline(protocol: Protocol) -> str:
    signed = f"signed by {protocol.signed_by}" if protocol.signed_by else "not signed by a clinical lead"
    return (
        f"Protocol {protocol.id}, version {protocol.version}, {protocol.jurisdiction}: {protocol.status}, {signed}; "
        f"{len(protocol.rules)} rules."
    )
