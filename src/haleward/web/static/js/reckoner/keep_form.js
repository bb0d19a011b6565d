// Keeps what was typed in this tab, and holds a form back while there is no network: nothing typed is lost.
import { Kept } from "./kept.js";

const AGAIN_MS = 20000;

const boxesOf = (form) => [...form.elements].filter((one) => one.name && one.name !== "csrfmiddlewaretoken" && one.type !== "submit");

function valuesOf(form) {
  const chosen = boxesOf(form).filter((one) => (one.type !== "radio" && one.type !== "checkbox") || one.checked);
  return Object.fromEntries(chosen.map((one) => [one.name, one.value]));
}

/** Put kept values into boxes that are still empty. */
function putBack(form, values) {
  for (const one of boxesOf(form)) {
    const value = values[one.name];
    if (value === undefined) { continue; }
    if (one.type === "radio" || one.type === "checkbox") { one.checked = one.value === value; } else if (!one.value) { one.value = value; }
  }
  for (const fold of form.querySelectorAll("details")) {
    fold.open ||= [...fold.querySelectorAll("input, select")].some((one) => (one.type === "radio" ? one.checked && one.value : one.value));
  }
}

/** Whether the service answers at all. */
async function reachable(form) {
  if (!navigator.onLine) { return false; }
  try {
    await fetch(form.action, { method: "HEAD", cache: "no-store", redirect: "manual" });
    return true;
  } catch (fault) {
    if (fault instanceof TypeError) { return false; }
    throw fault;
  }
}

export function keepForm(form) {
  const kept = new Kept(`form-${form.dataset.keep}`);
  const note = form.querySelector("[data-offline]");
  let waiting = null;

  const tell = (text) => { note.hidden = !text; note.textContent = text; };
  const send = async () => {
    if (await reachable(form)) { clearInterval(waiting); form.submit(); return; }
    tell(note.dataset.held);
    waiting ??= setInterval(send, AGAIN_MS);
  };

  if (!form.querySelector(".faults") && !document.getElementById("answer")) { putBack(form, kept.read().values ?? {}); }
  form.addEventListener("input", () => kept.write({ values: valuesOf(form) }));
  form.addEventListener("change", () => kept.write({ values: valuesOf(form) }));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    kept.write({ values: valuesOf(form) });
    send();
  });
  window.addEventListener("online", () => { if (waiting) { send(); } });
  window.addEventListener("offline", () => tell(note.dataset.away));
  window.addEventListener("online", () => { if (!waiting) { tell(""); } });
}
