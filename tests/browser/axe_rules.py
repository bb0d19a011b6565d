"""What axe finds on a page that matters to assistive technology, in a third of the time of a plain run.

Contrast is two thirds of the work of axe, most of it for rows that look alike. What decides it is the colour, size and
weight of a text and what is painted behind it, so of all elements that agree in these only a few are measured; every
other rule looks at everything.
"""

from __future__ import annotations

from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

# How a text looks: its own colour, size and weight, and everything that its ancestors paint, move or fade.
LOOKS = """(most) => {
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
  const speaks = (element) => element.matches("input, select, textarea")
    || [...element.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.data.trim() !== "");
  const seen = new Map();
  return [...document.body.querySelectorAll("*")].filter((element) => {
    if (!speaks(element) || !element.checkVisibility()) return false;
    const {color, fontSize, fontWeight, textShadow} = getComputedStyle(element);
    const look = [color, fontSize, fontWeight, textShadow, behind(element)].join(" ");
    seen.set(look, (seen.get(look) ?? 0) + 1);
    return seen.get(look) <= most;
  });
}"""
FIND = f"""async (most) => {{
  const asked = {{resultTypes: ["violations"], preload: false}};
  const all = await axe.run({{...asked, rules: {{"color-contrast": {{enabled: false}}}}}});
  const texts = ({LOOKS})(most);
  const contrast = await axe.run({{include: texts}}, {{...asked, runOnly: ["color-contrast"]}});
  return [...all.violations, ...contrast.violations].map(
    ({{id, impact, nodes}}) => ({{id, impact, html: nodes.map((node) => node.html)}}));
}}"""
OF_EACH_LOOK = 4  # the same look may stand over different neighbours


def violations(page: Page) -> list[dict[str, Any]]:
    """Each violation with its ``id``, ``impact`` and the ``html`` of the elements."""
    if page.evaluate("typeof axe === 'undefined'"):
        page.evaluate(Axe().axe_script)
    found: list[dict[str, Any]] = page.evaluate(FIND, OF_EACH_LOOK)
    return found


def serious(page: Page) -> list[str]:
    """Each serious or critical violation, with the first element that has it."""
    grave = [one for one in violations(page) if one["impact"] in ("serious", "critical")]
    return [f"{one['id']}, {one['html'][0][:150]}" for one in grave]
