"""Weeks without any raise, shown to the lead. Nothing is raised because of it."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from haleward.dose.evidence import Evidence, exercised
from haleward.dose.loads import as_mass_kg
from haleward.dose.log import Proposal
from haleward.dose.model import Dose, Programme
from haleward.dose.words import words
from haleward.safety.policy import ProgressionPolicy

MOST_REASONS = 3


def stagnant_for(evidence: Evidence, found: tuple[Proposal, ...], policy: ProgressionPolicy) -> tuple[Proposal, ...]:
    """One note when nothing was raised for the protocol's weeks although the person exercised, and why not."""
    weeks = policy.stagnant_weeks
    if weeks is None or any(one.kind.startswith("raise_") for one in found):
        return ()
    version = _raised_in(evidence.versions)
    since = version.made_on
    during = [log for log in evidence.logs if exercised(log) and log.started_at.date() >= since]
    spread = (during[-1].started_at.date() - during[0].started_at.date()).days if during else 0
    if (evidence.today - since).days < 7 * weeks or spread < 7 * (weeks - 1):
        return ()
    common = Counter(one.rule_id for one in found).most_common(MOST_REASONS)
    reasons = [next(one.reason for one in found if one.rule_id == rule_id) for rule_id, _ in common]
    text = words("prog_stagnant", date=since, weeks=weeks)
    return (
        Proposal(
            "stagnant",
            "",
            -1,
            "",
            None,
            None,
            text,
            "progression.stagnant_weeks",
            evidence.today,
            used=tuple(reasons),
            otherwise=words("else_stagnant"),
        ),
    )


def _raised_in(versions: tuple[Programme, ...]) -> Programme:
    """The latest version in which something was raised; the oldest known when nothing ever was."""
    for newer, older in pairwise(versions):
        if _raised(older, newer):
            return newer
    return versions[-1]


def _raised(older: Programme, newer: Programme) -> bool:
    before = {e.movement_id: e.dose for part in older.parts for e in part.exercises}
    after = {e.movement_id: e.dose for part in newer.parts for e in part.exercises}
    more = any(_more(before[one], dose) for one, dose in after.items() if one in before)
    walk, was = newer.walking, older.walking
    minutes = walk.bouts * walk.bout_minutes * len(walk.days) > was.bouts * was.bout_minutes * len(was.days)
    joined = walk.bouts < was.bouts and walk.bout_minutes > was.bout_minutes
    return more or minutes or joined or (walk.pace_km_per_h or 0) > (was.pace_km_per_h or 0)


def _more(before: Dose, after: Dose) -> bool:
    def amounts(dose: Dose) -> tuple[float, ...]:
        return dose.sets, dose.repetitions, as_mass_kg(dose.load), dose.hold_s

    return any(b > a for a, b in zip(amounts(before), amounts(after), strict=True))
