// What every screen works with: the sheet, the words, the place, the log, the voice. Made once, in main.js.
import { wholeFigures } from "./frames.js";
import { unpack } from "./inflate.js";

/** A text by key; `{name}` is filled from `values`. The service's own values were filled when the page was made. */
export const makeWords = (texts) => (key, values = {}) =>
  texts[key].replace(/\{(\w+)\}/g, (whole, name) => (name in values ? String(values[name]) : whole));

const identifier = () => {
  if (globalThis.crypto?.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16)); // pages that are not served securely lack randomUUID
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
};

export const newIdentifier = identifier;

/** What is drawn, unfolded when it is first needed: a phone need not unfold the last movement to show the first. */
const makeDrawings = (data) => {
  const unfolded = new Map();
  const at = (name, text, made) => unfolded.get(name) ?? unfolded.set(name, made(unpack(text))).get(name);
  const placeOf = (block) => data.drawn[block.frame >= 0 ? data.sheet.exercises.length + block.frame : block.exercise];
  return {
    figuresOf: (block) => at(placeOf(block), data.figures[placeOf(block)], wholeFigures),
    stillOf: (block) => at("stills", data.stills, (stills) => stills)[placeOf(block)],
  };
};

/** Everything the screens share. `place` is the stored place; `save()` keeps it after a change. */
export function makeContext(data, { outbox, places, place, voice }) {
  const { sheet } = data;
  const translation = new Map(sheet.translation ?? []);
  const exerciseOf = (block) => (block.frame >= 0 ? sheet.frame[block.frame] : sheet.exercises[block.exercise]);
  const context = {
    ...makeDrawings(data),
    data,
    sheet,
    words: makeWords(data.words),
    voice,
    outbox,
    place,
    save: () => places.write(context.place),
    log: (kind, values) =>
      outbox.add({
        entry_id: identifier(),
        kind,
        at: new Date().toISOString(),
        data: {
          session_id: context.place.session_id,
          sheet_id: data.sheet.sheet_id,
          plan_version: data.sheet.plan_version,
          part_key: data.sheet.part_key,
          ...values,
          ...(values.exercise_index >= 0 && { exercise_index: data.places[values.exercise_index] ?? values.exercise_index }),
        },
      }),
    block: () => sheet.blocks[context.place.block],
    exerciseOf,
    exercise: () => exerciseOf(context.block()),
    /** A text of the sheet in the language that is shown. */
    shown: (text) => translation.get(text) ?? text,
  };
  return context;
}

/** What a log entry says about the set at hand. */
export const setOf = (block, exercise) => ({
  exercise_index: block.exercise,
  movement_id: exercise.movement_id,
  set_number: block.set_number,
});
