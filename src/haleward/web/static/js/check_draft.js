// Checks a draft while it is typed: the server reads and analyses what stands in the form; nothing is stored.
const WAIT_MS = 700;

/** @param {HTMLFormElement} form */
function checkWhileTyping(form) {
  const place = form.querySelector("[data-checked]");
  let timer = 0;
  let running = null;
  const check = async () => {
    running?.abort();
    running = new AbortController();
    place.setAttribute("aria-busy", "true");
    const ask = async (headers) => {
      const answer = await fetch(form.dataset.checkDraft, { method: "POST", body: new FormData(form), headers, signal: running.signal });
      if (answer.ok) { place.innerHTML = await answer.text(); }
    };
    try {
      await ask({ "X-Quick": "1" }); // whether it can be read at all, at once; the analysis takes longer
      if (!place.querySelector(".faults")) { await ask({}); }
    } catch (fault) {
      if (fault.name !== "AbortError") { place.textContent = "The checks cannot be reached. Nothing is lost; save when the network is back."; }
    }
    place.setAttribute("aria-busy", "false");
  };
  form.addEventListener("input", () => { clearTimeout(timer); timer = window.setTimeout(check, WAIT_MS); });
}

document.querySelectorAll("form[data-check-draft]").forEach(checkWhileTyping);
