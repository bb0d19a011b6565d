// The studio: plays a stretch in one player, and follows films while they are being made.
const EVERY_MS = 1000;

const player = document.querySelector("[data-player]");
const audio = player?.querySelector("audio");
const told = player?.querySelector("[role=status]");

document.querySelectorAll("[data-listen]").forEach((link) => link.addEventListener("click", (event) => {
  event.preventDefault();
  player.hidden = false;
  audio.src = link.href;
  told.textContent = "";
  audio.play().catch((refusal) => {
    if (refusal.name === "AbortError") { return; } // another stretch was chosen meanwhile
    explain(link.href);
  });
}));

/** Why there is no sound: the server says it in one sentence. */
async function explain(address) {
  const answer = await fetch(address);
  told.textContent = answer.ok ? "This browser could not play the sound." : await answer.text();
}

async function follow(film) {
  try {
    const answer = await fetch(film.dataset.status, { cache: "no-store" });
    const state = await answer.json();
    if (!state.live) { location.reload(); return; }
    film.querySelector("progress").value = state.percent;
    film.querySelector("[data-sentence]").textContent = `${state.label}: ${state.percent} %. ${state.sentence}`;
  } catch (fault) {
    if (!(fault instanceof TypeError) && !(fault instanceof SyntaxError)) { throw fault; } // no network: ask again
  }
  setTimeout(follow, EVERY_MS, film);
}

document.querySelectorAll("[data-film][data-status]").forEach((film) => setTimeout(follow, EVERY_MS, film));
