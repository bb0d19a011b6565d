// How the page looks to this person: larger words and stronger colours, kept on the device.

const KEY = "haleward-view";
const SWITCHES = { large: ["large_button", "large_off_button"], contrast: ["contrast_button", "contrast_off_button"] };

const read = () => {
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? "{}") ?? {};
  } catch {
    return {};
  }
};

const write = (chosen) => {
  try {
    localStorage.setItem(KEY, JSON.stringify(chosen));
  } catch {
    // Without storage the choice lasts until the page is closed.
  }
};

/** Tie the two buttons in the foot of the page to what they switch. */
export function wireView(words) {
  let chosen = read();
  const apply = () => {
    for (const [name, [on, off]] of Object.entries(SWITCHES)) {
      document.documentElement.toggleAttribute(`data-${name}`, Boolean(chosen[name]));
      document.getElementById(name).textContent = words(chosen[name] ? off : on);
    }
    dispatchEvent(new Event("resize"));
  };
  for (const name of Object.keys(SWITCHES)) {
    document.getElementById(name).addEventListener("click", () => {
      chosen = { ...chosen, [name]: !chosen[name] };
      write(chosen);
      apply();
    });
  }
  apply();
}
