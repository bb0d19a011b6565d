// A position in a block, counted from a stored start time and not from ticks: it survives reload and a locked phone.

/** A running clock at position 0; `rate` is 1, or less for "Slower". All clocks are plain values that can be stored. */
export const startClock = (now, rate = 1) => ({ at: now, position: 0, rate, running: true });

export const positionOf = (clock, now) =>
  clock.running ? clock.position + Math.max(0, now - clock.at) * clock.rate : clock.position;

export const pauseClock = (clock, now) => ({ ...clock, position: positionOf(clock, now), at: now, running: false });

export const resumeClock = (clock, now) => ({ ...clock, at: now, running: true });

export const rateClock = (clock, now, rate) => ({ ...clock, position: positionOf(clock, now), at: now, rate });
