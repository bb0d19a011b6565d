"""Walking against its logs: what is true of it, and the proposal that follows from the decision."""

from __future__ import annotations

from dataclasses import dataclass, replace

from haleward.dose.evidence import WALK_INDEX, Evidence
from haleward.dose.log import WALK, Proposal
from haleward.dose.progress_events import events_for
from haleward.dose.progress_machine import Row, Signal
from haleward.dose.progress_signals import Counted, Seen, easing_signals, holding_signals
from haleward.dose.progress_told import Finding, otherwise, used
from haleward.dose.progress_walking import WalkGround, WalkStep, walk_down, walk_up
from haleward.dose.words import words
from haleward.movement.library import Library


@dataclass(frozen=True)
class WalkReview:
    """What is true of the walking, and the step up if it comes to that."""

    ground: WalkGround
    findings: dict[Signal, Finding]
    counted: Counted
    step: WalkStep | None
    done: int  # walks at the present dose

    @property
    def title(self) -> str:
        """What stands for the walking in a sentence."""
        return words("prog_walk_title")

    @property
    def place(self) -> str:
        """The line of the programme."""
        return WALK

    @property
    def part_key(self) -> str:
        """Walking is a session of its own."""
        return WALK

    @property
    def effort(self) -> float:
        """The highest effort that counts; 0 when none does."""
        return self.counted.effort or 0.0

    def proposal(self, row: Row, more: dict[Signal, Finding]) -> Proposal:
        """The proposal that follows from ``row``; ``more`` are the findings on the whole programme."""
        findings = self.findings | more
        finding = findings[row.signal] if row.signal is not None else None
        sessions = finding.sessions if finding is not None else self.counted.sessions
        found = replace(
            self._changed(row, finding),
            walking_before=self.ground.walking,
            evidence=tuple(log.session_id for log in sessions),
            used=used(sessions),
        )
        limit = _effort_at_most(self.ground)
        return replace(found, otherwise=otherwise(row, findings, effort_at_most=limit))

    def _changed(self, row: Row, finding: Finding | None) -> Proposal:
        made_on = self.ground.prescription.made_on
        plain = Proposal(
            "hold", WALK, WALK_INDEX, "", None, None, finding.text if finding else "", row.rule_id, made_on
        )
        if finding is None:
            assert self.step is not None  # without a step the walking is at its top, and the row says so
            count = len(self.counted.sessions)
            why = words("prog_walk_because", effort=_effort_at_most(self.ground), session_count=count)
            reason = f"{self.step.text} {why}"
            return replace(
                plain, kind=self.step.kind, walking_after=self.step.after, rule_id=self.step.rule_id, reason=reason
            )
        if row.verdict in ("ease", "step_back"):
            return walk_eased(self.ground, replace(plain, kind="ease" if row.verdict == "ease" else "step_back"))
        return plain


def walk_review_of(ground: WalkGround, evidence: Evidence, *, library: Library) -> WalkReview | None:
    """Everything that is true of the walking now; ``None`` when the protocol has no rule for it or there is none."""
    policy = ground.policies.progression
    if policy.walking_order is None or not ground.walking.days:
        return None
    own = evidence.of_line(WALK, WALK_INDEX)
    seen = Seen(
        title=words("prog_walk_title"),
        movement_id=ground.walking.movement_id,
        index=WALK_INDEX,
        dose=ground.walking,
        effort_high=ground.prescription.intensity.effort_high,
        effort_at_most=_effort_at_most(ground),
        line=own,
        evidence=evidence,
        events=events_for(None, own, evidence, ground.record, policies=ground.policies, library=library),
    )
    holding, counted = holding_signals(seen, policy)
    findings = {**easing_signals(seen, policy), **holding}
    step = walk_up(ground)
    if step is None:
        findings["top"] = Finding(words("prog_walk_top"), sessions=counted.sessions)
    elif step.intensity and not (counted.watched or policy.self_report_raises_load):
        findings["self_report"] = Finding(words("prop_hold_self_report"), sessions=counted.sessions)
    return WalkReview(ground, findings, counted, step, len(own.sessions))


def walk_eased(ground: WalkGround, plain: Proposal) -> Proposal:
    """One step down, or a review when the walking is at its least."""
    step = walk_down(ground)
    if step is None:
        text = words("prog_lowest", movement_title=words("prog_walk_title"), cause=plain.reason)
        return replace(plain, kind="review", reason=text)
    return replace(plain, walking_after=step.after, reason=f"{step.text} {plain.reason}")


def _effort_at_most(ground: WalkGround) -> float:
    """The effort that allows a raise of walking; the bottom of its range where the protocol names none."""
    own = ground.policies.progression.walking_effort_at_most
    return ground.prescription.intensity.effort_low if own is None else own
