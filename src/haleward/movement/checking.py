"""Check movement files on many bodies: every fault is one sentence with its file and line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from haleward.errors import FileFault
from haleward.movement.body import Body
from haleward.movement.examine import Finding, examine
from haleward.movement.library import read_movement
from haleward.movement.model import Movement
from haleward.record import Posture
from haleward.strict_toml import TomlFile
from haleward.wording import MovementWording, Wording

Progress = Callable[[int, int], None]
Sizes = tuple[tuple[float, float], ...]  # (stature in m, body mass index)


@dataclass(frozen=True)
class Thoroughness:
    """The bodies a movement is tried on and the instants of each move that are looked at."""

    sizes: Sizes
    instants: int


EVERYDAY = Thoroughness(((1.45, 20), (1.60, 42), (1.75, 30), (1.90, 20), (2.00, 20), (2.00, 42)), 7)
THOROUGH = Thoroughness(
    tuple((h, bmi) for h in (1.45, 1.50, 1.60, 1.70, 1.80, 1.90, 1.95, 2.00) for bmi in (20, 24, 30, 36, 42)), 21
)


def movement_files(target: Path) -> list[Path]:
    """The movement files of a folder, or the one file itself."""
    if not target.is_dir():
        return [target]
    paths = sorted(target.glob("*.toml"))
    if not paths:
        raise FileFault([f"{target} holds no movement file (*.toml)."])
    return paths


def check_files(
    paths: Sequence[Path], wording: Wording, *, how: Thoroughness, progress: Progress | None = None
) -> list[str]:
    """Every fault of these files, in order. ``progress`` is told how many of how many files are done."""
    faults: list[str] = []
    for number, path in enumerate(paths):
        try:
            check_file(path, wording, how=how)
        except FileFault as fault:
            faults += fault.faults
        if progress is not None:
            progress(number + 1, len(paths))
    return faults


def check_file(path: Path, wording: Wording, *, how: Thoroughness) -> None:
    """Raises :class:`FileFault` with every fault of one file: as it is written, in its words, on bodies."""
    movement = read_movement(path)
    file = TomlFile.read(path)
    for posture in movement.postures:
        _note_words(file, movement, posture, wording)
        _note_bodies(file, movement, posture, how)
    file.finish()


def _note_words(file: TomlFile, movement: Movement, posture: Posture, wording: Wording) -> None:
    at = ("postures", posture)
    if not wording.has_movement(movement.id, posture):
        file.fault(at, f"[postures.{posture}]: the wording has no row for {movement.id} {posture} in movements.csv.")
        return
    words = wording.movement(movement.id, posture)
    form = movement.postures[posture]
    for missing in _missing_words(words):
        file.fault(at, f"[postures.{posture}]: the wording for {movement.id} {posture} has no {missing}.")
    if words.effort_phase != form.effort:
        told = f'effort is "{form.effort}", but the wording says "{words.effort_phase}"'
        file.fault((*at, "effort"), f"[postures.{posture}]: {told}.")
    if not form.equipment:
        for kit in form.kits:
            if not words.kit_line(kit):
                file.fault((*at, "kits", kit), f"[postures.{posture}]: the wording has no line for {kit}.")


def _missing_words(words: MovementWording) -> list[str]:
    needed = {
        "title": words.title,
        "purpose": words.purpose_one_line,
        "set-up": words.setup,
        "cue for the way out (move_out)": words.move_out,
        "breathing": words.breathing,
        "common fault with its mend": words.faults,
        "easier way": words.make_it_easier,
        "stop sign (stop_if)": words.stop_if,
        "description of the start picture (alt_text_start)": words.alt_text_start,
        "description of the end picture (alt_text_end)": words.alt_text_end,
        "words for low vision": words.low_vision_words,
    }
    return [name for name, text in needed.items() if not text]


def _note_bodies(file: TomlFile, movement: Movement, posture: Posture, how: Thoroughness) -> None:
    found: dict[tuple[str, str], list[tuple[Finding, tuple[float, float]]]] = {}
    for stature_m, bmi in how.sizes:
        body = Body(stature_m=stature_m, mass_kg=bmi * stature_m**2)
        for finding in examine(movement.postures[posture], body, instants=how.instants):
            found.setdefault((finding.pose, finding.what), []).append((finding, (stature_m, bmi)))
    for (pose, _), cases in found.items():
        finding, (stature_m, bmi) = cases[0]
        others = f" (and {len(cases) - 1} more)" if len(cases) > 1 else ""
        told = f"from {pose} on, at {stature_m:.2f} m and a body mass index of {bmi:g}{others}: {finding.text}"
        file.fault(("postures", posture, "poses", pose), f"[postures.{posture}]: {told}.")
