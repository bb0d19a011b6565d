// The sentences of a clock come with its configuration; none is written here.

/** A function that gives the sentence of a key with its places filled. */
export const wordsOf = (config) => (key, values = {}) => config.words[key].replace(/\{(\w+)\}/g, (_, name) => String(values[name]));
