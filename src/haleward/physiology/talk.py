"""The talk test: what speech during effort says, and where to train from it. A table, never a number."""

from __future__ import annotations

from dataclasses import dataclass

from haleward.errors import HalewardError
from haleward.physiology.finding import cited
from haleward.physiology.tables import rows


@dataclass(frozen=True)
class TalkAnswer:
    """One answer of the talk test, and where it puts the effort: "under", "at" or "above" the first threshold."""

    answer: str
    label: str
    meaning: str
    place: str
    source: str


@dataclass(frozen=True)
class TalkStage:
    """How many people completed a training session so many stages under the last comfortable one."""

    stages_under: int
    completed: int
    people: int
    label: str
    source: str


def talk_test(answer: str) -> TalkAnswer:
    """What "comfortable", "equivocal" or "unable" means. Raises :class:`HalewardError` for another answer."""
    for row in rows("talk_test"):
        if row["answer"] == answer:
            return TalkAnswer(answer, row["label"], row["meaning"], row["place"], cited(row))
    known = " or ".join(row["answer"] for row in rows("talk_test"))
    raise HalewardError(f"There is no talk test answer {answer!r}; it must be {known}.")


def talk_test_stages() -> tuple[TalkStage, ...]:
    """Training at the last comfortable stage and under it: who completed 20 minutes (one study of 30 people)."""
    return tuple(
        TalkStage(int(row["stages_under"]), int(row["completed"]), int(row["people"]), row["label"], cited(row))
        for row in rows("talk_test_training")
    )
