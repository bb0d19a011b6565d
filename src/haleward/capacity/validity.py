"""What weakens a walk test, in words: course, aid, symptoms, the reason it stopped, events since."""

from __future__ import annotations

from datetime import date

from haleward.capacity.shuttle import levels
from haleward.physiology.tables import rows, settings, texts
from haleward.record import Record, WalkTest


def day(value: date) -> str:
    """A date as read: 3 Feb 2026."""
    return f"{value.day} {value:%b %Y}"


def stop_reason(stopped_for: str) -> str:
    """The code of ``walk_stop_reasons`` that ``stopped_for`` is, or "other"; "" if none was given.

    Free text is accepted: a reason is known by its code or by its label, in any case and with any separator.
    """
    plain = " ".join(stopped_for.lower().replace("-", " ").replace("_", " ").split())
    if not plain:
        return ""
    for row in rows("walk_stop_reasons"):
        if plain in (row["code"].replace("_", " "), row["label"].lower().replace("-", " ")):
            return row["code"]
    return "heart_rate_limit" if "heart rate" in plain else "other"


def walk_cautions(record: Record, walk: WalkTest) -> tuple[str, ...]:
    """The cautions that travel with a capacity from this walk, most important first."""
    found = (
        _symptoms(walk),
        _stopped(walk),
        _events_since(record, walk),
        _course(walk),
        _aid(walk),
        _whole_test(walk),
        _first_walk(walk),
    )
    return tuple(text for text in found if text)


def open_questions(walk: WalkTest) -> tuple[str, ...]:
    """What was left blank and would make the capacity surer."""
    wording = texts("capacity_wording")
    asked: list[str] = []
    if walk.course_m is None and walk.kind == "six_minute_walk":
        asked.append(wording["ask_course"])
    if walk.symptoms is None:
        asked.append(wording["ask_symptoms"])
    return tuple(asked)


def _symptoms(walk: WalkTest) -> str:
    warned = any(row["warning"] == "yes" and row["code"] == stop_reason(walk.stopped_for) for row in _reasons())
    return texts("capacity_wording")["symptoms"] if walk.symptoms or warned else ""


def _stopped(walk: WalkTest) -> str:
    code = stop_reason(walk.stopped_for)
    if code == "heart_rate_limit":
        return texts("capacity_wording")["heart_rate_stop"]
    full = any(row["code"] == code and row["full_walk"] == "yes" for row in _reasons())
    if not code or full or walk.kind == "shuttle_walk":  # every shuttle walk ends for some reason
        return ""
    return texts("capacity_wording")["stopped_early"].format(reason=walk.stopped_for)


def _events_since(record: Record, walk: WalkTest) -> str:
    later = [event.on for event in record.events if event.on is not None and event.on > walk.tested_on]
    return texts("capacity_wording")["event_since"].format(event_on=day(max(later))) if later else ""


def _course(walk: WalkTest) -> str:
    known, wording = settings("field_test_settings"), texts("capacity_wording")
    if walk.course_m is None:
        return ""
    if walk.kind == "shuttle_walk":
        off = walk.course_m != known["shuttle_m"]
        return (
            wording["shuttle_course"].format(course=f"{walk.course_m:g}", shuttle=f"{known['shuttle_m']:g}")
            if off
            else ""
        )
    shortest = known["six_minute_course_shortest_m"]
    if walk.course_m >= shortest:
        return ""
    return wording["short_course"].format(course=f"{walk.course_m:g}", shortest=f"{shortest:g}")


def _aid(walk: WalkTest) -> str:
    said = walk.aid.strip()
    if said.lower() in ("", "none", "no"):
        return ""
    named = "" if said.lower() == "yes" else f" ({said})"
    return texts("capacity_wording")["aid"].format(named=named)


def _whole_test(walk: WalkTest) -> str:
    whole = walk.kind == "shuttle_walk" and walk.distance_m == levels()[-1].distance_done_m
    return texts("capacity_wording")["whole_test"] if whole else ""


def _first_walk(walk: WalkTest) -> str:
    if walk.kind != "six_minute_walk" or walk.practice_done is not False:
        return ""
    gain = settings("field_test_settings")["learning_effect_m"]
    return texts("capacity_wording")["first_walk"].format(learning=f"{gain:g}")


def _reasons() -> tuple[dict[str, str], ...]:
    return rows("walk_stop_reasons")
