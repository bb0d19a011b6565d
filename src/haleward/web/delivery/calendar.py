"""A person's calendar: from the signed plan, its earlier versions and what held it, to the file and its address."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta

from django.conf import settings
from django.core import signing
from django.utils import timezone

from haleward.dose.week_plan import Week
from haleward.exchange.calendar import Note, Standing, Wishes, calendar_of
from haleward.session.bilingual import shown_sheet
from haleward.session.compile import WALK
from haleward.session.week_words import WeekWords
from haleward.web.delivery.landing_words import words_for
from haleward.web.delivery.links import SALT, LinkClosed, open_link
from haleward.web.delivery.models import LogEntry, PersonLink
from haleward.web.delivery.sheets import sheet_of, signed_programme
from haleward.web.delivery.weeks import weeks_for
from haleward.web.languages.shown import wording_now
from haleward.web.people.models import Person, end_of
from haleward.web.prescription.models import ProgrammeVersion
from haleward.web.prescription.signing import programme_of

FEED_SALT = "haleward.calendar-link"  # not that of a person's link: an address in a calendar opens the calendar only
WEEKS = 12  # a programme lasts about twelve weeks; a new version starts a new calendar


def feed_token(token: str) -> str:
    """The token of the calendar's own address, from the token of a person's link; "" for a link of staff."""
    content = signing.loads(token, salt=SALT)
    return signing.dumps({"calendar": content["link"]}, salt=FEED_SALT, compress=True) if "link" in content else ""


def read_feed(token: str) -> PersonLink:
    """The open link behind a calendar's address. Raises :class:`LinkClosed` once the link is closed."""
    try:
        content = signing.loads(token, salt=FEED_SALT)
    except signing.BadSignature as error:
        raise LinkClosed from error
    return open_link(content.get("calendar"))


def calendar_file(person: Person, wishes: Wishes, *, now: datetime, changed_at: datetime) -> bytes:
    """The calendar of the newest signed plan. Raises when there is none."""
    row = signed_programme(person)
    programme = programme_of(row)
    keys = [*(part.key for part in programme.parts), WALK]
    return calendar_of(
        programme,
        {key: shown_sheet(sheet_of(row, key)[0]) for key in keys},
        wording_now(person.service),
        made_at=now,
        changed_at=changed_at,
        timezone=settings.TIME_ZONE,
        start_on=starts_on(row),
        weeks=WEEKS,
        wishes=wishes,
        standing=replace(_standing(row), changes=changes_of(row), notes=notes_of(row)),
    )


def changes_of(row: ProgrammeVersion) -> dict[tuple[str, date], date | None]:
    """What days away, illness and little time do to single sessions of the calendar."""
    weeks = _weeks(row)
    off: dict[tuple[str, date], date | None] = {
        (one.part_key, one.planned_on): None for week in weeks for one in week.off
    }
    moved = {(one.part_key, one.planned_on): one.on for week in weeks for one in week.sessions if one.moved}
    return off | moved


def notes_of(row: ProgrammeVersion) -> dict[tuple[str, date], Note]:
    """What the calendar says of sessions on days that are not like others, in the words of the person's page."""
    words = WeekWords(programme_of(row).walking, words_for(row.person))
    notes = {}
    for day in (day for week in _weeks(row) for day in week.days):
        for one in day.sessions:
            short = words.say("calendar_short", what=words.name(one)) if one.short else ""
            lines = tuple(filter(None, (short, words.special(day), words.moved(one))))
            if lines:
                sheet = shown_sheet(sheet_of(row, one.part_key, one)[0]) if one.day_minutes is not None else None
                notes[one.part_key, one.planned_on] = Note(lines, sheet)
    return notes


def _weeks(row: ProgrammeVersion) -> list[Week]:
    return weeks_for(row, [starts_on(row) + timedelta(weeks=number) for number in range(WEEKS + 1)])


def starts_on(row: ProgrammeVersion) -> date:
    """The day the plan was signed: sessions count from there."""
    return timezone.localdate(row.signed_at)


def last_day(row: ProgrammeVersion) -> date:
    """The last day that the calendar covers."""
    return starts_on(row) + timedelta(weeks=WEEKS, days=-1)


def last_change(person: Person) -> datetime:
    """When plan or hold last changed. None of these rows is ever removed, so this never goes back."""
    concerns = person.concerns.all()
    sent = LogEntry.objects.filter(person=person, session_id__in=concerns.values("session_id"))
    moments: list[datetime] = [
        *(signed for signed in person.programmes.values_list("signed_at", flat=True) if signed),
        *(moment for pair in concerns.values_list("raised_at", "closed_at") for moment in pair if moment),
        *sent.order_by("-stored_at").values_list("stored_at", flat=True)[:1],  # later entries may change a concern
        *person.day_checks.values_list("asked_at", flat=True),
        *(moment for pair in person.ends.values_list("told_at", "undone_at") for moment in pair if moment),
        *(told for pair in person.special_days.values_list("told_at", "withdrawn_at") for told in pair if told),
    ]
    return max(moments)


def _standing(row: ProgrammeVersion) -> Standing:
    person = row.person
    earlier = person.programmes.filter(signed_at__isnull=False, version__lt=row.version)
    return Standing(
        earlier=tuple(programme_of(version) for version in earlier),
        held_on=frozenset((*_days_of_checks(person), *_days_of_concerns(person))),
        over=end_of(person) is not None,
        paused=person.concerns.filter(holds_plan=True, closed_at__isnull=True).exists(),
    )


def _days_of_checks(person: Person) -> Iterator[date]:
    """Days whose last check said "not today"."""
    last: dict[date, str] = {}
    for check in person.day_checks.order_by("asked_at", "pk"):
        last[timezone.localdate(check.asked_at)] = check.gate["outcome"]
    return (day for day, outcome in last.items() if outcome == "not_today")


def _days_of_concerns(person: Person) -> Iterator[date]:
    """Days from the opening of a concern that held the plan to the day before it closed."""
    for concern in person.concerns.filter(holds_plan=True, closed_at__isnull=False):
        first, last = (timezone.localdate(moment) for moment in (concern.raised_at, concern.closed_at))
        yield from (first + timedelta(days=number) for number in range((last - first).days))
