// Small helpers that build the page. No markup is ever made from strings, so no text can become markup.

/** An element. `on` holds listeners; a property that is false or null is left out; children are elements or texts. */
export function el(tag, { on = {}, ...properties } = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value === true ? "" : value);
  }
  for (const [event, listener] of Object.entries(on)) element.addEventListener(event, listener);
  element.append(...children.flat().filter((child) => child !== null && child !== false && child !== ""));
  return element;
}

export const button = (label, press, { kind = "", ...rest } = {}) =>
  el("button", { type: "button", class: `button ${kind}`.trim(), on: { click: press }, ...rest }, label);

export const list = (lines, kind = "lines") => el("ul", { class: kind }, lines.map((line) => el("li", {}, line)));

/** Put a screen into the page and move to its heading, so that a screen reader starts reading there. */
export function show(...children) {
  const main = document.getElementById("screen");
  main.replaceChildren(...children.flat().filter(Boolean));
  const heading = main.querySelector("h1");
  heading?.setAttribute("tabindex", "-1");
  heading?.focus({ preventScroll: true });
  scrollTo(0, 0);
}

/** Say one thing to a screen reader without moving the focus. */
export function announce(text) {
  document.getElementById("announce").textContent = text;
}

/** Several texts in one line, with the comma of the page's script. */
export const listed = (texts) => texts.join(document.documentElement.dir === "rtl" ? "، " : ", ");
