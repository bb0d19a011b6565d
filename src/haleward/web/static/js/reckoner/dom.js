// Small helpers that build a clock. No markup is ever made from strings, so no text can become markup.

/** An element; `on` holds listeners, a property that is false or null is left out, children are elements or texts. */
export function el(tag, { on = {}, ...properties } = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value !== false && value !== null && value !== undefined) { element.setAttribute(name, value === true ? "" : value); }
  }
  for (const [event, listener] of Object.entries(on)) { element.addEventListener(event, listener); }
  element.append(...children.flat().filter((child) => child !== null && child !== false && child !== undefined && child !== ""));
  return element;
}

/** A button; `kind` is "big" (the one thing to press), "quiet" or "". */
export const button = (label, press, kind = "") => el("button", { type: "button", class: kind, on: { click: press } }, label);
