// The plan on hold because of what was told on this device before, and its end: the team's answer, or where none can
// come, the person's own word.
import { button, el, show } from "./dom.js";
import { endedSessions, isStop, standing } from "./standing.js";

/** Whether nothing is left to see to of what stopped this place: the session at hand, or an earlier one. */
export const isReopened = (place, entries) => {
  if (place.stop?.hold) return !standing(entries);
  const stopped = place.stop || place.stopped || place.screen === "advice";
  return Boolean(stopped) && endedSessions(entries).has(place.session_id) && !standing(entries, { own: place.session_id });
};

/** The team has closed what had stopped the session; it begins anew, with its questions. */
export function reopenedScreen({ words }, flow) {
  show(
    el("h1", {}, words("plan_reopened")),
    button(words("start_button"), () => flow.screen("check"), { kind: "main", "data-main": true }),
  );
}

/** Ties the hold to a page. `freshPlace(screen)` makes the place of a new session. */
export function makeHold(context, flow, freshPlace) {
  const { outbox, words } = context;

  /** Show what holds the plan besides the session at hand; whether anything does. Its place is never kept. */
  const look = async (own) => {
    const found = standing(await outbox.own(), { own, sends: outbox.sends });
    if (found) {
      context.place = { ...freshPlace("stopped"), stop: { outcome: "not_today", topics: found.topics, hold: { ownWord: found.ownWord } } };
      flow.open();
    }
    return Boolean(found);
  };

  /** Something was closed: open the page that waits for it. */
  const reopened = async () => {
    if (context.place.screen !== "stopped" || !isReopened(context.place, await outbox.own())) return;
    context.place = freshPlace();
    flow.screen("reopened");
  };

  context.endHold = async () => {
    await context.log("note", { text: words("hold_talked") });
    await outbox.settle((await outbox.own()).filter((one) => isStop(one) && !one.settled));
  };
  return { look, reopened };
}
