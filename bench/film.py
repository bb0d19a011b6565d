"""How long the film of a session of about 28 minutes takes: from nothing, with kept clips, and picture by picture.

Run from the root: python -m bench.film [PICTURES]. The session is invented. The film is made twice, then a stretch of
PICTURES pictures (500) of the same session is drawn and encoded one after another, each whole, and scaled up to the
session. At last every picture of the film is decoded: each repetition must show the same above the strip as the first
of its kind, or the run ends with status 1. Processor time is printed beside the clock's, because other work on the
machine stretches only the second.
"""

from __future__ import annotations

import hashlib
import resource
import sys
from collections.abc import Callable
from itertools import islice
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme, protocol

from haleward.dose.model import Load
from haleward.movement.library import default_library
from haleward.render import film_scenes
from haleward.render.film import make_film
from haleward.render.film_clips import packets
from haleward.render.film_crew import WORKERS
from haleward.render.film_draw import Painter
from haleward.render.film_plan import FRAMES_A_SECOND, Turn, movements, shots_of
from haleward.render.film_planes import SIZES, Planes
from haleward.render.sound import film_package
from haleward.session.compile import compile_session
from haleward.session.cue_sheet import CueSheet
from haleward.wording import default_wording

DOSE = {"sets": 2, "repetitions": 12, "out_s": 2.0, "back_s": 2.0, "rest_s": 45}
BOTTLE = Load("bottle", mass_kg=1.0)
EMERGENCY = "Call 999 now if you feel very ill."
MOVEMENTS = (
    exercise("biceps_curl", "seated", load=BOTTLE, **DOSE),
    exercise("wall_press", "standing", region="push", **DOSE),
    exercise("heel_raise", "hand_supported", region="calf", **DOSE),
    exercise("lateral_raise", "seated", load=BOTTLE, region="push", **DOSE),
    exercise("knee_extension", "seated", region="leg", **DOSE),
    exercise("hip_extension", "hand_supported", region="hip", **DOSE),
)


def main(words: list[str]) -> int:
    """Print a line for each way; status 1 if a picture used again is not the same."""
    pictures = int(words[0]) if words else 500
    sheet = compile_session(
        *(programme(*MOVEMENTS), "one", PLAIN),
        protocol=protocol(),
        library=default_library(),
        wording=default_wording(),
        service=SERVICE,
        made_on=TODAY,
    )
    seconds = sheet.length_ms / 1000
    _say(f"Session: {seconds / 60:.1f} minutes, {len(shots_of(sheet))} shots, 1280 x 720.")
    with TemporaryDirectory(prefix="haleward-bench-") as folder:
        out = Path(folder) / "film.mp4"
        kept = {"phrases": Path(folder) / "voice", "clips": Path(folder) / "clips"}
        for title in ("from nothing", "with kept sentences and clips"):
            clock, work = _timed(lambda: _film(sheet, out, **kept))
            _say(f"Film {title}: {clock:.1f} s by the clock, {work:.1f} s of work in {WORKERS} processes")
        _say(f"File: {out.stat().st_size / 1e6:.1f} MB")
        clock, work = _timed(lambda: _picture_by_picture(sheet, pictures))
        scale = seconds * FRAMES_A_SECOND / pictures
        _say(
            f"Picture by picture, without sound, scaled from {pictures} pictures: {clock * scale:.0f} s by the clock, "
            f"{work * scale:.0f} s of work on one core"
        )
        compared, differ = _used_again(sheet, out)
    _say(f"{compared} pictures used again were compared with the first of their kind; {differ} differ.")
    return 1 if differ else 0


def _film(sheet: CueSheet, out: Path, **kept: Path) -> None:
    titles = {"emergency": EMERGENCY, "start_title": "Welcome", "end_title": "The end"}
    make_film(sheet, record=PLAIN, out=out, **titles, **kept)


def _picture_by_picture(sheet: CueSheet, count: int) -> None:
    """Every picture of the first sets drawn whole and encoded, with the same painter and the same encoder."""
    size, look = SIZES["large"], film_scenes.Look.of(PLAIN, size="large", emergency=EMERGENCY, version=sheet.plan_line)
    packets(islice(_whole_pictures(sheet, look), count), size, each_whole=False)


def _whole_pictures(sheet: CueSheet, look: film_scenes.Look) -> Any:
    painter = Painter(SIZES["large"], emergency=look.emergency, version=look.version)
    for shot in shots_of(sheet):
        if not isinstance(shot.shown, Turn):
            continue
        turn, about = shot.shown, movements(sheet)[shot.shown.exercise]
        cycle = film_scenes._cycle(about, turn.side, look, poses=50)
        for moment in film_scenes._moments(turn, cycle):
            planes = Planes(SIZES["large"])
            planes.put(painter.heading(about.title))
            planes.put(painter.figure(moment.shapes))
            planes.put(painter.column(word=moment.word, breath=moment.breath, stop=about.stop_if))
            planes.put(painter.strip(turn.strip))
            yield planes.frame()


def _used_again(sheet: CueSheet, film: Path) -> tuple[int, int]:
    """How many pictures were compared, and how many differ above the strip from the first of their kind."""
    split, height, width = SIZES["large"].split, SIZES["large"].height, SIZES["large"].width
    turns = {n: shot for shot in shots_of(sheet) if isinstance(shot.shown, Turn) for n in _inside(shot)}
    known: dict[tuple[Turn, int], bytes] = {}
    compared = differ = 0
    with film_package("av").open(str(film)) as file:
        for frame in file.decode(video=0):
            number = round(frame.pts * frame.time_base * FRAMES_A_SECOND)
            if number not in turns:
                continue
            shot, picture = turns[number], frame.to_ndarray(format="yuv420p")
            halves = (picture[height : height + height // 4], picture[height + height // 4 :])
            parts = [picture[:split], *(half.reshape(height // 2, width // 2)[: split // 2] for half in halves)]
            seen = hashlib.sha256(b"".join(part.tobytes() for part in parts)).digest()
            key = (film_scenes.bare(shot.shown), number - shot.start)
            if key in known:
                compared, differ = compared + 1, differ + (known[key] != seen)
            known.setdefault(key, seen)
    return compared, differ


def _inside(shot: Any) -> range:
    return range(shot.start, shot.start + shot.length)


def _timed(run: Callable[[], None]) -> tuple[float, float]:
    """Clock and processor seconds, those of the workers too."""
    clock, before = perf_counter(), _work()
    run()
    return perf_counter() - clock, _work() - before


def _work() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(one.ru_utime + one.ru_stime for one in used)


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
