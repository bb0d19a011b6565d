"""What the endurance shuttle walk says: the speed to walk it at, and how long that speed was kept."""

from __future__ import annotations

from haleward.capacity import shuttle
from haleward.capacity.endurance_shuttle import EnduranceScore, Track, endurance_score, track_for
from haleward.capacity.field_answers import Pool, by_formula, change_notes, part, words
from haleward.capacity.field_values import Given, Part, Reckoned, Result
from haleward.errors import OutOfRange
from haleward.formula import find
from haleward.units import likely, shown
from haleward.worksheet import Figure, Input, NotComputed, Step, Worksheet

BY_SPEED, BY_OXYGEN = "endurance_shuttle_speed_km_per_h_hill_2012", "endurance_shuttle_speed_km_per_h_vo2"
SCORE = "endurance_shuttle_score_s"


def endurance_shuttle(given: Given) -> tuple[Part, ...]:
    """The speed by both methods with the track to play, and the time kept once it was walked."""
    peak = shuttle.level(int(given.number("completed_level") or 0)).published_speed_km_per_h
    fraction = (given.number("percent") or 0) / 100
    pool: Pool = {"peak_speed_km_per_h": peak, "fraction": fraction}
    speeds = [
        by_formula(name, pool, title=words(key))
        for name, key in ((BY_SPEED, "speed_share"), (BY_OXYGEN, "speed_oxygen"))
    ]
    track = _track(find(BY_SPEED).call(peak_speed_km_per_h=peak, fraction=fraction))
    told = part("speed", track if isinstance(track, NotComputed) else _played(track), *speeds)
    clock_s = given.number("trial_1_s")
    if clock_s is None or isinstance(track, NotComputed):
        return (told,)
    kept = _kept(endurance_score(clock_s=clock_s, track=track), clock_s, track)
    return told, part("measured", *kept), part("change", *change_notes(given.measure))


def _track(speed_km_per_h: float) -> Track | NotComputed:
    try:
        return track_for(speed_km_per_h=speed_km_per_h)
    except OutOfRange as refused:
        return NotComputed(words("track"), str(refused))


def _played(track: Track) -> Reckoned:
    speed = Figure(track.speed_km_per_h, "km/h")
    text = words(
        "track_text", track=track.track, speed=f"{speed.value:.2f}", interval=f"{track.published_interval_s:g}"
    )
    step = Step(words("track"), words("track_how"), (), f"{track.track}", "", "Revill 1999 [seen second-hand]")
    return Reckoned(words("track"), speed, text, Worksheet(words("track"), text, (step,), (), speed))


def _kept(score: EnduranceScore, clock_s: float, track: Track) -> list[Result]:
    time = find(SCORE).worksheet(words("seconds_kept"), cautions=score.cautions, clock_s=clock_s)
    inputs = (Input("Speed", track.speed_km_per_h, "km/h"), Input("Time kept", score.score_s.value, "s"))
    title, text = words("metres_kept"), shown(score.distance_m.value, "m")
    step = Step(title, words("metres_kept_how"), inputs, score.distance_m.value, "m")
    return [
        Reckoned(words("seconds_kept"), score.score_s, likely(score.score_s), time, " ".join(score.cautions)),
        Reckoned(title, score.distance_m, text, Worksheet(title, text, (step,), (), score.distance_m)),
    ]
