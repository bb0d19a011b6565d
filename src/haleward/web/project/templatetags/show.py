"""How each quantity is shown, once for all screens. Rounding happens here and nowhere else on the way to a page."""

from __future__ import annotations

from datetime import date, datetime

from django import template

from haleward import units
from haleward.web.languages.shown import language_now
from haleward.wording import default_wording
from haleward.worksheet import Figure

register = template.Library()

POSTURES = {"seated": "seated", "hand_supported": "hand-supported", "standing": "free-standing"}
OUTCOMES = {"go_ahead": "Go ahead", "check_first": "Check first", "not_today": "Not today"}
URGENCY = {
    "emergency": "now",
    "same_day": "today",
    "next_working_day": "next working day",
    "self_care": "self-care",
    "none": "",
}


@register.filter
def bpm(value: float | None) -> str:
    """A heart rate as whole beats a minute."""
    return "not recorded" if value is None else f"{round(value)} bpm"


@register.filter
def limit_bpm(value: float) -> str:
    """An upper limit on heart rate in whole beats a minute, rounded down: a limit is never shown higher than it is."""
    return f"{int(value)} bpm"


@register.filter
def number(value: float | int | None, digits: int = 1) -> str:
    """A number with at most ``digits`` decimals and no trailing zeros."""
    if value is None:
        return "not recorded"
    text = f"{value:.{digits}f}"
    text = text.rstrip("0").rstrip(".") if digits else text
    return "0" if text == "-0" else text


@register.filter
def likely(figure: Figure) -> str:
    """A figure with its error in words: "about 5.1 METs, likely 3.9 to 6.3"."""
    return units.likely(figure)


@register.filter
def posture(key: str) -> str:
    """A posture in words."""
    return POSTURES.get(key, key)


@register.filter
def outcome(key: str) -> str:
    """The gate's outcome in words."""
    return OUTCOMES.get(key, key)


@register.filter
def urgency(key: str) -> str:
    """How soon someone must act, in words."""
    return URGENCY.get(key, key)


@register.filter(expects_localtime=True)  # a moment just after midnight belongs to the service's day
def day(value: date | datetime | str | None) -> str:
    """A date with the month in words, so that day and month cannot be swapped."""
    if value in (None, ""):
        return "not recorded"
    if isinstance(value, str):
        value = date.fromisoformat(value[:10])
    written, language = f"{value.day} {value:%B %Y}", language_now()
    return written if language is None else language.value("date", written)


@register.simple_tag
def said(key: str) -> str:
    """A text of the wording tables without placeholders, in the language of the page."""
    return (language_now() or default_wording()).template(key)


@register.filter
def words(key: str) -> str:
    """A code as words: ``hand_supported`` becomes "hand supported"."""
    return str(key).replace("_", " ")


@register.filter
def yes_no(value: bool | None) -> str:
    """A yes/no answer; blank is "not recorded"."""
    return "not recorded" if value is None else ("yes" if value else "no")
