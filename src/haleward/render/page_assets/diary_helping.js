// "I am helping": on the person's own link, whoever writes for them ticks it; it holds for this day on this device.
import { localDay } from "./today.js";

const KEPT = "haleward-helping";

const read = () => {
  try {
    return localStorage.getItem(KEPT);
  } catch {
    return null;
  }
};

const write = (day) => {
  try {
    localStorage.setItem(KEPT, day);
  } catch {
    // Without storage the tick lasts until the page is closed.
  }
};

/** A function that tells whether somebody who helps is writing; links of helpers and staff say so by themselves. */
export function makeHelping(data, words) {
  if (data.origin !== "person") return () => false;
  const box = document.getElementById("helps");
  const day = `${data.person_id}/${localDay(new Date())}`;
  box.checked = read() === day;
  box.addEventListener("change", () => write(box.checked ? day : ""));
  box.nextElementSibling.textContent = words("tell_helping");
  document.getElementById("helping").hidden = false;
  return () => box.checked;
}
