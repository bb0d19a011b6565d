"""``haleward protocol``: check a team's protocol file, or show its rules."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from haleward.cli.output import say, say_json
from haleward.plain import to_plain
from haleward.safety.protocol import Protocol, default_protocol, load_protocol


def check(options: Namespace) -> int:
    """Read the file; every fault is told by the error it raises."""
    protocol = load_protocol(options.file)
    if options.json:
        say_json({"file": str(options.file), "faults": [], **_head(protocol)})
    else:
        say(f"{options.file}: no fault found. {_headline(protocol)}")
    return 0


def show(options: Namespace) -> int:
    """The head and every rule of a protocol."""
    protocol = load_protocol(options.file) if options.file else default_protocol()
    if options.json:
        say_json({**_head(protocol), "rules": to_plain(protocol.rules)})
        return 0
    say(_headline(protocol))
    for rule in protocol.rules:
        say(f"{rule.id}  {rule.stage}  {rule.level}  {rule.text}")
    return 0


def chosen_protocol(path: Path | None) -> Protocol:
    """The protocol in ``path``, or the default one."""
    return default_protocol() if path is None else load_protocol(path)


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
