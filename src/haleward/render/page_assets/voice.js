// The device's own voice. Everything it says is on the screen too, so a device without one loses nothing.

/** A voice that can be switched off. `say(text)`, or of several texts, cuts off what is still being said. */
export function makeVoice({ lang, on }) {
  const speech = globalThis.speechSynthesis;
  let sounding = on;

  const pick = () => {
    const voices = speech.getVoices();
    return voices.find((voice) => voice.lang === lang) ?? voices.find((voice) => voice.lang.startsWith("en"));
  };

  return {
    get available() {
      return Boolean(speech) && speech.getVoices().length > 0;
    },
    get on() {
      return sounding;
    },
    turn: (wanted) => {
      sounding = wanted;
      if (!wanted) speech?.cancel();
    },
    say: (said, rate = 1) => {
      const text = [said].flat().join(" ");
      if (!sounding || !speech || !text) return;
      speech.cancel();
      const words = new SpeechSynthesisUtterance(text);
      words.lang = lang;
      words.voice = pick() ?? null;
      words.rate = rate;
      speech.speak(words);
    },
    ahead: 0, // the device's voice begins when it is told to
    quiet: () => speech?.cancel(),
    /** The clock that drives figure and counts. The device's voice has none of its own. */
    now: () => Date.now(),
  };
}
