// Shows only the lines that hold every typed word. Without script the form asks the server for the same.

/** @param {HTMLFormElement} form */
function filterLines(form) {
  const box = form.querySelector("input");
  const found = form.querySelector("[data-found]");
  const texts = new Map([...document.querySelectorAll("[data-line]")].map((line) => [line, `${line.id} ${line.textContent}`.toLowerCase()]));
  const show = () => {
    const words = box.value.toLowerCase().split(/\s+/u).filter(Boolean);
    let count = 0;
    texts.forEach((text, line) => {
      line.hidden = !words.every((word) => text.includes(word));
      count += line.hidden ? 0 : 1;
    });
    document.querySelectorAll("[data-part], [data-section]").forEach((part) => {
      part.hidden = words.length > 0 && !part.querySelector("[data-line]:not([hidden])");
    });
    document.querySelectorAll("details[data-part]").forEach((part) => { part.open = words.length > 0; });
    found.textContent = words.length ? `${count} ${count === 1 ? "line holds" : "lines hold"} “${box.value.trim()}”.` : "";
  };
  box.addEventListener("input", show);
  form.addEventListener("submit", (event) => { event.preventDefault(); show(); });
}

/** A link to a line inside a folded part opens the part. */
function unfoldTarget() {
  const line = location.hash && document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const folded = line && line.closest("details");
  if (folded) { folded.open = true; line.scrollIntoView(); }
}

document.querySelectorAll("form[data-filter-lines]").forEach(filterLines);
window.addEventListener("hashchange", unfoldTarget);
unfoldTarget();
