// Asks the server for the preview in steps, with a bar when it takes longer than two seconds. Without script: all at once.
const SHOW_AFTER_MS = 2000;

/** @param {HTMLFormElement} form */
async function askInSteps(form) {
  const bar = form.querySelector("progress");
  const box = bar.parentElement;
  const count = form.querySelector("[data-count]");
  form.querySelector("button").disabled = true;
  const shown = window.setTimeout(() => { box.hidden = false; }, SHOW_AFTER_MS);
  for (;;) {
    const answer = await fetch(form.action || location.href, { method: "POST", body: new FormData(form), headers: { "X-Step": "1" } });
    if (!answer.ok) { break; }
    const step = await answer.json();
    bar.max = Math.max(step.total, 1);
    bar.value = step.done;
    count.textContent = `${step.done} of ${step.total}`;
    if (step.whole) { break; }
  }
  clearTimeout(shown);
  location.assign(location.pathname);
}

document.querySelectorAll("form[data-preview-steps]").forEach((form) => {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    askInSteps(form).catch(() => form.submit());
  });
});
