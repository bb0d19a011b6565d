// Which day it is on a page that may be days old, on a device whose clock may be wrong.

const DAY_KEY = "haleward-day";
const MS_A_DAY = 24 * 60 * 60 * 1000;
const noon = (day) => new Date(`${day}T12:00:00`);

/** The day of a moment, by the clock of this device: "2026-03-02". */
export const localDay = (date) =>
  [date.getFullYear(), date.getMonth() + 1, date.getDate()].map((part) => String(part).padStart(2, "0")).join("-");

/** So many days later. */
export const daysLater = (day, days) => localDay(new Date(noon(day).getTime() + days * MS_A_DAY));

const daysFrom = (earlier, later) => Math.round((noon(later) - noon(earlier)) / MS_A_DAY);

const readPair = () => {
  try {
    return JSON.parse(localStorage.getItem(DAY_KEY) ?? "null");
  } catch {
    return null;
  }
};

/**
 * Today: the day on which the server made the page, and as many days on as this device has counted since it first saw
 * a page of that day. A clock that is wrong by a day counts days as well as any other.
 */
export function todayFrom(serverDay) {
  const device = localDay(new Date());
  const pair = readPair();
  if (pair?.server === serverDay) return daysLater(serverDay, Math.max(0, daysFrom(pair.device, device)));
  try {
    localStorage.setItem(DAY_KEY, JSON.stringify({ server: serverDay, device }));
  } catch {
    // A device without storage takes the day of the page.
  }
  return serverDay;
}
