"""What axe finds on a page that matters to assistive technology, in a third of the time of a plain run.

Contrast is most of the work of axe, most of it for rows that look alike. What decides it is the colour, size and weight
of a text and what is painted behind it, so of all texts that agree in these only a few are measured; every other rule
looks at everything.
"""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

# Mark a few texts of each look: colour, size, weight and line, the same of the text around, and what is painted behind.
MARK = """(most) => {
  const painted = new Map();
  const behind = (element) => {
    if (element === null) return "";
    if (!painted.has(element)) {
      const {backgroundColor, backgroundImage, opacity, position, filter, mixBlendMode} = getComputedStyle(element);
      const own = [backgroundColor, backgroundImage, opacity, position, filter, mixBlendMode].join(" ");
      const above = behind(element.parentElement);
      painted.set(element, above.startsWith(own + "|") ? above : own + "|" + above);
    }
    return painted.get(element);
  };
  const written = (element) => {
    const {color, fontSize, fontWeight, textDecorationLine, textShadow, borderBottomStyle} = getComputedStyle(element);
    return [element.matches("a[href]"), color, fontSize, fontWeight, textDecorationLine, textShadow, borderBottomStyle];
  };
  const speaks = (element) => element.matches("input, select, textarea")
    || [...element.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.data.trim() !== "");
  const seen = new Map();
  for (const element of document.body.querySelectorAll("*")) {
    element.removeAttribute("data-look");
    if (!speaks(element) || !element.checkVisibility()) continue;
    const look = [...written(element), ...written(element.parentElement), behind(element)].join(" ");
    seen.set(look, (seen.get(look) ?? 0) + 1);
    if (seen.get(look) <= most) element.setAttribute("data-look", "");
  }
}"""
RULES = """axe.configure({rules: [
  {id: "color-contrast", selector: "[data-look]"}, {id: "link-in-text-block", selector: "a[href][data-look]"}]})"""
FIND = f"""async (most) => {{
  ({MARK})(most);
  const found = await axe.run({{resultTypes: ["violations"], preload: false}});
  return found.violations.map(({{id, impact, nodes}}) => ({{id, impact, html: nodes.map((node) => node.html)}}));
}}"""
OF_EACH_LOOK = 3  # the same look may stand over different neighbours


def violations(page: Page) -> list[dict[str, Any]]:
    """Each violation with its ``id``, ``impact`` and the ``html`` of the elements."""
    if page.evaluate("typeof axe === 'undefined'"):
        page.evaluate(Axe().axe_script)
        page.evaluate(RULES)
    found: list[dict[str, Any]] = page.evaluate(FIND, OF_EACH_LOOK)
    return found


def serious(page: Page) -> list[str]:
    """Each serious or critical violation, with the first element that has it."""
    grave = [one for one in violations(page) if one["impact"] in ("serious", "critical")]
    return [f"{one['id']}, {one['html'][0][:150]}" for one in grave]
