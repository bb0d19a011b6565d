// The boxes of the form that clocks fill. A box that the page does not have is passed over.
let restoring = false;

/** While a clock is put back as it was before a reload, it fills only boxes that are empty: what was put right stays. */
export function putBack(make) {
  restoring = true;
  make();
  restoring = false;
}

const box = (name) => (name ? document.querySelector(`[name="${CSS.escape(name)}"]`) : null);

/** What stands in a box, as text. */
export const valueOf = (name) => box(name)?.value ?? "";

/** Put a value into a box as if it had been typed. */
export function fill(name, value) {
  const found = box(name);
  if (!found || (restoring && found.value)) { return; }
  found.value = value === null || value === undefined ? "" : String(value);
  found.dispatchEvent(new Event("input", { bubbles: true }));
  found.dispatchEvent(new Event("change", { bubbles: true }));
}

/** A number as typed, with a decimal point or comma; NaN if it is none. */
export function numberIn(text) {
  const cleaned = text.trim().replace(",", ".");
  return /^\d+(\.\d+)?$/.test(cleaned) ? Number(cleaned) : NaN;
}
