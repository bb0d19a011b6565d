"""The scripts of the pages by themselves, in one browser page: what must hold when storage or server say no."""

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from haleward.movement.library import default_library
from haleward.render.diary_page import diary_data, diary_page
from haleward.render.page import page_values
from haleward.render.page_bundle import ASSETS
from haleward.safety.facts import facts_of
from haleward.safety.protocol import default_protocol
from haleward.session.compile import WALK, compile_session
from haleward.wording import default_wording
from tests.session.people import PLAIN
from tests.session.samples import SERVICE, TODAY, exercise, programme

pytestmark = pytest.mark.browser

ADDRESS = "http://scripts.test/"

# A store of entries and a server that refuses what it is told to; `call` makes an outbox of them.
WORKBENCH = """
globalThis.bench = async ({ entries = [], faulty = [], named = true, full = false }) => {
  const { makeOutbox } = await import("/outbox.js");
  const kept = new Map(entries.map((one) => [one.entry_id, { scope: "p", sent: false, ...one }]));
  const no = () => { throw new DOMException("The connection was lost.", "UnknownError"); };
  const store = full ? { put: async () => no(), all: async () => no() }
    : { put: async (one) => kept.set(one.entry_id, one), all: async () => [...kept.values()] };
  const posts = [], told = [], settled = { ids: [], called: 0 };
  globalThis.fetch = async (_, { body }) => {
    const ids = JSON.parse(body).entries.map((one) => one.entry_id);
    posts.push(ids);
    const refused = ids.filter((id) => faulty.includes(id)).map((id) => ({ entry_id: id, fault: "It is faulty." }));
    const all = !named && refused.length;
    const stored = all ? [] : ids.filter((id) => !faulty.includes(id));
    const ok = stored.length > 0;
    const json = async () => ({ stored, ...(named && { refused }), settled: settled.ids });
    return { ok: ok || !ids.length, status: ok || !ids.length ? 200 : 422, json };
  };
  const changed = (count, more) => told.push([count, more]);
  const reopened = () => settled.called++;
  const outbox = makeOutbox({ store, scope: "p", postUrl: "/log", token: "t", changed, reopened });
  return { outbox, posts, told, kept, settled };
};
// What a screen of the log is drawn with: one part, and what is told of it.
globalThis.telling = (key, exercise, told) => {
  document.body.innerHTML = '<main id="screen"></main>';
  const parts = { [key]: { name: key, exercises: [exercise] } };
  const tell = (_session, _outcome, { sets }) => told.push(sets);
  return { words: (name) => name, today: () => "2026-03-02", data: { parts }, tell, open: () => {} };
};
"""


def answer(route: Route) -> None:
    name = route.request.url.removeprefix(ADDRESS)
    if not name:
        route.fulfill(body="<!doctype html><html lang=en><title>Scripts</title>", content_type="text/html")
    else:
        route.fulfill(path=ASSETS / name, content_type="text/javascript")


@pytest.fixture(scope="module")
def page(browser: Browser) -> Iterator[Page]:
    opened = browser.new_page()
    opened.route("**/*", answer)
    opened.goto(ADDRESS)
    opened.evaluate(f"() => {{ {WORKBENCH} }}")
    yield opened
    opened.close()


def entry(name: str, kind: str = "set", **data: Any) -> dict[str, Any]:
    return {"entry_id": name, "kind": kind, "data": data}


def test_a_symptom_is_sent_first_and_all_go_in_portions(page: Page) -> None:
    sets = [entry(f"set {number}") for number in range(450)]
    entries = [*sets, entry("pain", "unwell"), entry("stop", "check", outcome="not_today")]
    posts = page.evaluate(
        """async (entries) => {
          const { outbox, posts } = await bench({ entries });
          await outbox.flush();
          return posts;
        }""",
        entries,
    )
    assert [len(one) for one in posts] == [200, 200, 52]
    assert posts[0][:2] == ["pain", "stop"]


def test_a_refused_entry_stays_and_is_told_while_the_others_are_stored(page: Page) -> None:
    posts, told, kept = page.evaluate(
        """async (entries) => {
          const { outbox, posts, told, kept } = await bench({ entries, faulty: ["walk"] });
          await outbox.flush();
          await outbox.flush();
          return [posts, told, [...kept.values()]];
        }""",
        [entry("walk", "report"), entry("pain", "unwell")],
    )
    assert posts == [["pain", "walk"], []]  # the second only asks whether the team has closed it
    assert told[-1] == [0, {"refused": 1, "lost": False}]
    assert {one["entry_id"]: one["sent"] for one in kept} == {"walk": False, "pain": True}


def test_where_the_server_names_no_entry_each_goes_by_itself(page: Page) -> None:
    posts, told = page.evaluate(
        """async (entries) => {
          const { outbox, posts, told } = await bench({ entries, faulty: ["walk"], named: false });
          await outbox.flush();
          return [posts, told];
        }""",
        [entry("walk", "report"), entry("pain", "unwell")],
    )
    assert posts == [["pain", "walk"], ["pain"], ["walk"]]
    assert told[-1][0] == 1


def test_an_entry_that_the_device_cannot_keep_is_sent_and_the_person_is_told(page: Page) -> None:
    posts, told = page.evaluate(
        """async (one) => {
          const { outbox, posts, told } = await bench({ full: true });
          await outbox.add(one);
          await outbox.flush();
          return [posts, told];
        }""",
        entry("pain", "unwell"),
    )
    assert posts == [["pain"], []]
    assert told[0] == [1, {"refused": 0, "lost": True}]
    assert told[-1] == [0, {"refused": 0, "lost": True}]


def test_no_walk_is_told_with_more_minutes_than_can_be_stored(page: Page) -> None:
    told = page.evaluate(
        """async () => {
          const { partScreen } = await import("/diary_tell.js");
          const told = [];
          const context = telling("walk", { movement_id: "walking", sets: 2, minutes: 10 }, told);
          partScreen(context, { session: { part_key: "walk", on: "2026-03-02" } });
          for (const minutes of ["5000", "-1", "301", "25"]) {
            document.getElementById("minutes").value = minutes;
            document.querySelector("[data-main]").click();
            told.push(document.getElementById("minutes-fault").hidden);
          }
          return told;
        }"""
    )
    *faults, walked, shown = told
    assert faults == [False, False, False]
    assert [one["minutes"] for one in walked] == [10, 15]
    assert shown


def test_a_set_without_a_repetition_is_never_told_as_getting_hard(page: Page) -> None:
    (sets,) = page.evaluate(
        """async () => {
          const { partScreen } = await import("/diary_tell.js");
          const told = [];
          const stand = { movement_id: "stand", title: "Stand", sets: 1, repetitions: 1, hold_s: 0, kit: "own_weight" };
          partScreen(telling("one", stand, told), { session: { part_key: "one", on: "2026-03-02" } });
          const steppers = [...document.querySelectorAll(".stepper")].map((one) => one.querySelectorAll("button"));
          const press = (stepper, sign) => steppers[stepper][sign].click();
          press(1, 1);
          press(1, 0);
          press(2, 1);
          document.querySelector("[data-main]").click();
          return told;
        }"""
    )
    assert [(one["repetitions"], one.get("hard_at")) for one in sets] == [(0, None)]


def test_a_symptom_told_on_this_device_holds_every_session_until_the_team_has_seen_to_it(page: Page) -> None:
    found = page.evaluate(
        """async () => {
          const { standing } = await import("/standing.js");
          const DAY = 24 * 60 * 60 * 1000;
          const told = (topic, more = {}) => {
            const { session_id = "s", days = 0, sent = true, settled, kind = "unwell", ...data } = more;
            const at = new Date(Date.now() - days * DAY).toISOString();
            return { kind, at, sent, settled, data: { session_id, topic, ...data } };
          };
          const check = { kind: "check", outcome: "not_today", topics: ["fever"], days: 3 };
          const of = (...entries) => standing(entries, { own: "mine" })?.topics ?? null;
          const alone = (...entries) => standing(entries, { sends: () => false });
          return [
            of(told("chest pain")),
            of(told("")),
            of(told(""), told("", { withdrawn: true })),
            of(told("faint"), told("", { withdrawn: true })),
            of(told("faint", { session_id: "mine" })),
            of(told("faint", { days: 2 })),
            of(told("faint", { days: 60, sent: false })),
            of(told("faint", { days: 2, settled: true })),
            of(told("faint", { days: 2, settled: true }), told("fall", { days: 1 })),
            of(told("", { ...check, holds: true })),
            of(told("", { ...check, holds: false })),
            of(told("", { ...check, holds: true }), told("", { days: 2 }), told("", { days: 1, withdrawn: true })),
            [alone(told("faint")).ownWord, alone(told("faint", { days: 1 })).ownWord],
          ];
        }"""
    )
    assert found == [
        ["chest pain"], ["after you stopped"], None, ["faint"], None, ["faint"], ["faint"], None, ["fall"],
        ["fever"], None, ["fever"], [False, True],
    ]  # fmt: skip


def test_the_server_is_asked_until_it_has_closed_what_stopped_a_session(page: Page) -> None:
    steps = page.evaluate(
        """async (entries) => {
          const { outbox, posts, kept, settled } = await bench({ entries });
          const seen = () => [posts.length, settled.called, [...kept.values()].map((one) => Boolean(one.settled))];
          const steps = [];
          for (const ids of [[], ["s1"], ["s1", "s2"], ["s1", "s2"]]) {
            settled.ids = ids;
            await outbox.flush();
            steps.push(seen());
          }
          return steps;
        }""",
        [
            entry("one", "unwell", session_id="s1", topic="faint") | {"sent": True},
            entry("two", "check", session_id="s2", outcome="check_first") | {"sent": True},
            entry("walk", "report", session_id="s1") | {"sent": True},
        ],
    )
    assert steps == [
        [1, 0, [False, False, False]],
        [2, 1, [True, False, False]],
        [3, 2, [True, True, False]],
        [3, 2, [True, True, False]],
    ]


def test_what_is_told_while_the_server_answers_about_its_session_stands(page: Page) -> None:
    kept = page.evaluate(
        """async (entries) => {
          const { outbox, kept, settled } = await bench({ entries });
          settled.ids = ["s1"];
          await outbox.flush();
          return [...kept.values()].map((one) => [one.sent, Boolean(one.settled)]);
        }""",
        [
            entry("before", "unwell", session_id="s1", topic="faint") | {"sent": True},
            entry("now", "unwell", session_id="s1", topic="faint"),
        ],
    )
    assert kept == [[True, True], [True, False]]


def log_page() -> str:
    """The person's log as the server makes it, with nothing planned and nothing told."""
    plan, wording, protocol = programme(exercise(sets=1)), default_wording(), default_protocol()
    around: Any = {"protocol": protocol, "library": default_library(), "wording": wording}
    sheets = {key: compile_session(plan, key, PLAIN, service=SERVICE, made_on=TODAY, **around) for key in ("one", WALK)}
    values = page_values(sheets["one"], protocol=protocol, service=SERVICE)
    facts = facts_of(PLAIN, today=TODAY)
    data = diary_data(plan, sheets, record=PLAIN, facts=facts, wording=wording, values=values) | {
        "person_id": "p", "origin": "person", "post_url": "/log/", "home_url": "/", "token": "t", "tell_url": "/tell/",
        "today": TODAY.isoformat(), "sore_days": 3, "days": [],
    }  # fmt: skip
    return diary_page(data, wording=wording, values=values, service=SERVICE.name)


def test_the_log_works_without_storage_and_says_until_a_symptom_has_been_sent(browser: Browser) -> None:
    page, made, reachable = browser.new_page(), log_page(), []

    def served(route: Route) -> None:
        if route.request.method == "GET":
            route.fulfill(body=made, content_type="text/html")
        elif reachable:
            route.fulfill(json={"stored": [one["entry_id"] for one in route.request.post_data_json["entries"]]})
        else:
            route.abort()

    page.route("**/*", served)
    for name in ("localStorage", "indexedDB"):
        page.add_init_script(
            f"Object.defineProperty(window, '{name}', {{ get() {{ throw new DOMException('No', 'SecurityError') }} }})"
        )
    page.goto(ADDRESS)
    expect(page.locator("#not-kept")).to_be_visible()
    page.locator("#unwell").click()
    page.get_by_role("button", name="Faint or dizzy").click()
    expect(page.locator("#not-sent")).to_contain_text("Your note has not been sent.")
    expect(page.get_by_text("Your note is on this device.")).to_be_visible()
    expect(page.get_by_text("Your note is saved for the team.")).to_be_hidden()
    reachable.append(True)
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.get_by_text("Your note is saved for the team.")).to_be_visible()
    expect(page.locator("#not-sent")).to_be_hidden()
    page.close()
