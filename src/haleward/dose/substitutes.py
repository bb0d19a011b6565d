"""What can take an exercise's place for the same purpose: nearest first, with what stays the same and what changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from haleward.dose.loads import load_text, spec_of
from haleward.dose.model import Exercise, Load
from haleward.dose.options import Option, Options
from haleward.dose.words import words
from haleward.movement.body import Body
from haleward.movement.library import Library
from haleward.movement.model import Joint
from haleward.movement.torque import WorkingPath
from haleward.physiology.tables import texts
from haleward.record import Band, Posture, Record


@dataclass(frozen=True)
class Substitute:
    """Another movement of the same region at its start, and two sentences about it."""

    option: Option
    stays: str
    changes: str
    same_pattern: bool
    apart_nm: float | None  # how far its peak load lies from that of the exercise; None when it cannot be compared


def substitutes(
    exercise: Exercise, options: Options, used: frozenset[str], record: Record, library: Library
) -> tuple[Substitute, ...]:
    """Usable movements of the exercise's region that the plan does not have yet.

    The same pattern comes first, then what loads the same working joint most nearly as much, then what works another
    joint or cannot be compared (height and weight unknown).
    """
    found = [
        _substitute(exercise, option, record, library)
        for option in options.eligible
        if option.region == exercise.region and option.movement_id not in used | {exercise.movement_id}
    ]
    far = float("inf")
    return tuple(
        sorted(
            found,
            key=lambda one: (
                not one.same_pattern,
                one.option.light_work,
                far if one.apart_nm is None else one.apart_nm,
                one.option.movement_id,
            ),
        )
    )


def _substitute(exercise: Exercise, option: Option, record: Record, library: Library) -> Substitute:
    before, now = library.movement(exercise.movement_id), library.movement(option.movement_id)
    same_pattern = before.pattern == now.pattern
    key = "same_pattern" if same_pattern else "same_region"
    stays = _words(key, region=words(f"region_{option.region}").lower(), pattern=now.pattern)
    changes = list(_changes(exercise, option, library))
    apart = None
    joint = now.working_joint
    if joint is not None and joint == before.working_joint:
        stays += _words("same_joint", joint=joint)
        peaks = [
            peak_nm(movement_id, posture, load, joint, record, library)
            for movement_id, posture, load in (
                (exercise.movement_id, exercise.posture, exercise.dose.load),
                (option.movement_id, option.start.posture, option.start.load),
            )
        ]
        if peaks[0] is not None and peaks[1] is not None:
            apart = abs(peaks[1] - peaks[0])
            changes.append(_words("peak", joint=joint, before=f"{peaks[0]:.1f}", now=f"{peaks[1]:.1f}"))
    if exercise.posture == option.start.posture:
        stays += _words("same_posture", posture=words(f"posture_{exercise.posture}"))
    if load_text(exercise.dose.load) == load_text(option.start.load):
        stays += _words("same_load", load=load_text(option.start.load))
    told = _words("changes", list=", ".join(changes)) if changes else _words("changes_nothing")
    return Substitute(option, f"{stays}.", f"{told}.", same_pattern, apart)


def _changes(exercise: Exercise, option: Option, library: Library) -> Iterator[str]:
    start = option.start
    if exercise.posture != start.posture:
        postures = {"before": words(f"posture_{exercise.posture}"), "now": words(f"posture_{start.posture}")}
        yield _words("posture", **postures)
    loads = {"before": load_text(exercise.dose.load), "now": load_text(start.load)}
    if loads["before"] != loads["now"]:
        yield _words("load", **loads)
    joints = [library.movement(one).working_joint for one in (exercise.movement_id, option.movement_id)]
    if joints[0] and joints[1] and joints[0] != joints[1]:
        yield _words("joint", before=joints[0], now=joints[1])
    each = library.form(option.movement_id, start.posture).each_side
    before = library.form(exercise.movement_id, exercise.posture).each_side
    if each != before:
        yield _words("sides" if each else "both")


def peak_nm(
    movement_id: str, posture: Posture, load: Load, joint: Joint, record: Record, library: Library
) -> float | None:
    """Peak torque at the working joint on this person's body, own limb included; ``None`` without height and weight."""
    band: Band | None = next((one for one in record.kit.bands or () if one.name == load.band), None)
    if record.stature_m is None or record.mass_kg is None or (load.kit == "band" and band is None):
        return None
    form = library.form(movement_id, posture)
    body = Body(stature_m=record.stature_m, mass_kg=record.mass_kg)
    path = WorkingPath(form, body, joint, "winter", form.cycles[0].side or "left")
    return abs(path.loaded(spec_of(load), band).peak.torque_nm)


def _words(key: str, **values: str) -> str:
    return texts("substitute_words")[key].format(**values)
