"""``haleward protocol diff A B``: what differs between two protocol files, a sentence for each change."""

from __future__ import annotations

from argparse import Namespace
from collections import Counter

from haleward.cli.output import say, say_json
from haleward.plain import to_plain
from haleward.safety.compare import Change, compare
from haleward.safety.protocol import load_protocol


def diff(options: Namespace) -> int:
    """Both files must be without fault; A is the one before, B the one after."""
    changes = compare(load_protocol(options.before), load_protocol(options.after))
    if options.json:
        say_json({"before": str(options.before), "after": str(options.after), "changes": to_plain(changes)})
        return 0
    say(*(f"{change.direction:8}  {change.sentence}" for change in changes), _summary(changes))
    return 0


def _summary(changes: tuple[Change, ...]) -> str:
    if not changes:
        return "The two protocols say the same."
    found = Counter(change.direction for change in changes)
    told = ", ".join(f"{found[way]} {way}" for way in ("stricter", "milder", "other") if found[way])
    return f"{len(changes)} {'change' if len(changes) == 1 else 'changes'}: {told}."
