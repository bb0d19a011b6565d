// A counted pulse: asked once, never needed. A blank stays blank.
import { button, el } from "./dom.js";

/** What to show: `told(counted)` gets the pulse, null for a blank; a number that can be none is said and stays. */
export function rateQuestion(words, [lowest, highest], told) {
  const box = el("input", { type: "number", min: String(lowest), max: String(highest), inputmode: "numeric", id: "rate", class: "number", "aria-describedby": "rate-fault" });
  const fault = el("p", { class: "stop", id: "rate-fault", role: "alert", hidden: true }, words("diary_rate_range", { lowest, highest }));
  const save = () => {
    const counted = box.valueAsNumber;
    const blank = box.value === "" && !box.validity.badInput;
    fault.hidden = blank || (Number.isInteger(counted) && counted >= lowest && counted <= highest);
    return fault.hidden ? told(blank ? null : counted) : box.focus();
  };
  return [
    el("h1", {}, el("label", { for: "rate" }, words("diary_rate_ask"))),
    box,
    fault,
    button(words("diary_save"), save, { kind: "main", "data-main": true }),
    button(words("diary_rate_none"), () => told(null), { kind: "quiet" }),
  ];
}
