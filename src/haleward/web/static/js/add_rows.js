// Adds a row to a set of repeated rows. Without script the three spare rows are there.

/** @param {HTMLElement} place */
function addRow(place) {
  const prefix = place.dataset.addFor;
  const total = document.querySelector(`[name="${prefix}-TOTAL_FORMS"]`);
  const rows = document.querySelector(`[data-rows="${prefix}"]`);
  const count = Number(total.value);
  if (count >= Number(rows.dataset.most)) { return; }
  const template = document.querySelector(`[data-row-for="${prefix}"]`);
  const row = template.content.cloneNode(true);
  const wrapper = document.createElement("div");
  wrapper.append(row);
  wrapper.innerHTML = wrapper.innerHTML.replaceAll("__prefix__", String(count)).replaceAll("__number__", String(count + 1));
  const added = wrapper.firstElementChild;
  rows.append(added);
  total.value = String(count + 1);
  added.querySelector("input, select").focus();
}

document.querySelectorAll("[data-add-for]").forEach((place) => {
  place.hidden = false;
  place.querySelector("button").addEventListener("click", () => addRow(place));
});
