"""What a proposal tells besides its reason: the data it rests on, and what would have changed it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from haleward.dose.log import SessionLog, SetLog
from haleward.dose.progress_machine import Row, Signal, decide, standing
from haleward.dose.words import listed, words


@dataclass(frozen=True)
class Finding:
    """One signal of a line: the sentence behind it, the sessions it rests on, and the values of its remedy."""

    text: str
    rule_id: str = ""  # "" takes the row's own
    sessions: tuple[SessionLog, ...] = ()
    remedy: Mapping[str, object] = field(default_factory=dict)


Findings = Mapping[Signal, Finding]


def used(sessions: Iterable[SessionLog]) -> tuple[str, ...]:
    """One sentence a session: the day, the repetitions and the efforts of one line, and who reported them."""
    return tuple(
        words(
            "used_session",
            date=log.started_at.date(),
            repetitions=_numbers(s.minutes if s.minutes is not None else s.repetitions for s in log.sets),
            efforts=_numbers(s.effort for s in log.sets) + _marks(log.sets),
            origin=words(f"used_origin_{log.origin}"),
        )
        for log in sessions
    )


def otherwise(row: Row, findings: Findings, *, effort_at_most: float) -> str:
    """What would have changed it: everything that stood against a raise, or what would have kept the dose."""
    if row.verdict == "raise":
        return words("else_raise", effort=effort_at_most)
    if row.verdict == "hold":
        remedies = [_remedy(signal, findings[signal]) for signal in standing(findings)]
        return words("else_hold", remedies=listed(tuple(dict.fromkeys(remedies))))
    assert row.signal is not None  # only the last row has none, and it raises
    rest = {signal: found for signal, found in findings.items() if signal != row.signal}
    key = "else_keep" if decide(rest).verdict in ("hold", "raise") else "else_keep_partly"
    return words(key, remedies=_remedy(row.signal, findings[row.signal]))


def _remedy(signal: Signal, finding: Finding) -> str:
    key = f"else_{signal}"
    if finding.remedy.get("count") == 1:
        key += "_one"
    return words(key, **finding.remedy)


def _numbers(values: Iterable[float | None]) -> str:
    return ", ".join("–" if value is None else f"{value:g}" for value in values) or "–"


def _marks(sets: tuple[SetLog, ...]) -> str:
    marks = [words(f"used_{s.feel}") for s in sets if s.feel]
    marks += [words("used_hard_at", repetition=s.hard_at) for s in sets if s.hard_at is not None]
    return "".join(f", {mark}" for mark in dict.fromkeys(marks))
