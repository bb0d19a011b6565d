// What every screen works with: the sheet, the words, the place, the log, the voice. Made once, in main.js.

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

/** Everything the screens share. `place` is the stored place; `save()` keeps it after a change. */
export function makeContext(data, { outbox, places, place, voice }) {
  const context = {
    data,
    sheet: data.sheet,
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
        },
      }),
    block: () => data.sheet.blocks[context.place.block],
    exercise: () => data.sheet.exercises[context.block().exercise],
  };
  return context;
}

/** What a log entry says about the set at hand. */
export const setOf = (block, exercise) => ({
  exercise_index: block.exercise,
  movement_id: exercise.movement_id,
  set_number: block.set_number,
});
