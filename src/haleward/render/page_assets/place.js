// Where the person is in the session, kept on the device so that a reload goes on from the same place.

/** The place store of one sheet. A place is a plain value. */
export function makePlace(sheetId) {
  const key = `haleward-place-${sheetId}`;
  return {
    read: () => {
      try {
        return JSON.parse(localStorage.getItem(key) ?? "null");
      } catch {
        return null;
      }
    },
    write: (place) => {
      try {
        localStorage.setItem(key, JSON.stringify({ ...place, saved_at: Date.now() }));
      } catch {
        // A device without storage still plays the session; it only cannot go on after a reload.
      }
    },
  };
}
