// Small behaviours every page shares. Pages work without them.

/** Warn before leaving a form that was changed and not sent. */
function guardUnsent(form) {
  let changed = false;
  form.addEventListener("input", () => { changed = true; });
  form.addEventListener("submit", () => { changed = false; });
  window.addEventListener("beforeunload", (event) => { if (changed) { event.preventDefault(); } });
}

/** After a refused form, take the reader to the first fault. */
function showFirstFault() {
  const fault = document.querySelector(".field-fault input, .field-fault select, .field-fault textarea, .faults");
  if (fault) { fault.setAttribute("tabindex", fault.matches(".faults") ? "-1" : fault.getAttribute("tabindex") ?? "0"); fault.focus(); }
}

// What a tab keeps of measurements ends with the sign-in of whoever made them.
document.querySelector("form.who")?.addEventListener("submit", () => sessionStorage.clear());
document.querySelectorAll("form[data-guard]").forEach(guardUnsent);
showFirstFault();
