// Where another language is shown, the voice still speaks English: this finds what to say for what is on the screen.

/** `voice`, which is given texts as they are shown or as they are spoken. What has no English is not said at all. */
export function makeSpokenVoice(voice, { sheet, spoken }) {
  const shown = sheet.translation ?? [];
  if (!shown.length) return voice;
  const english = new Map([...shown.map(([text, told]) => [told, text]), ...spoken]);
  const known = new Set([...shown.map(([text]) => text), ...spoken.map(([, text]) => text)]);
  const say = (said, ...timing) =>
    voice.say([said].flat().map((text) => (known.has(text) ? text : english.get(text) ?? "")).filter(Boolean), ...timing);
  return Object.create(voice, { say: { value: say } });
}
