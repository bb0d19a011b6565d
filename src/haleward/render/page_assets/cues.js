// The cues of a block: the page carries one list for each of their fields, timed from the start of the block.

/** A sheet with its cues one by one, timed from the start of the session. */
export const wholeSheet = (sheet) => ({
  ...sheet,
  blocks: sheet.blocks.map((block) => ({
    ...block,
    cues: block.cues.start_ms.map((start, place) => ({
      ...Object.fromEntries(Object.entries(block.cues).map(([name, values]) => [name, values[place]])),
      start_ms: block.start_ms + start,
    })),
  })),
});
