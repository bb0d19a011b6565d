// From "as planned" to sets: what the plan has for one session. What nobody told stays blank.

const movementSets = (exercise, index) =>
  Array.from({ length: exercise.sets }, (_, number) => ({
    exercise_index: index,
    movement_id: exercise.movement_id,
    set_number: number + 1,
    repetitions: exercise.repetitions,
  }));

/** A walk of so many minutes, in the bouts of the plan. */
export const walkSets = (exercise, minutes) => {
  const sets = [];
  for (let left = minutes; left > 0; left -= exercise.minutes) {
    const last = sets.length + 1 === exercise.sets;
    const walked = last ? left : Math.min(left, exercise.minutes);
    sets.push({ exercise_index: 0, movement_id: exercise.movement_id, set_number: sets.length + 1, minutes: walked });
    if (last) break;
  }
  return sets;
};

/** The places of the movements that this session has; all of them unless time is short. */
export const placesOf = (context, session) =>
  session.exercises?.length ? session.exercises : context.data.parts[session.part_key].exercises.map((_, index) => index);

/** The sets of a report; only "as planned" says anything about them by itself. */
export function reportOf(context, session, outcome) {
  if (outcome !== "as_planned") return {};
  const { exercises } = context.data.parts[session.part_key];
  if (session.part_key === "walk") {
    return { sets: walkSets(exercises[0], session.minutes ?? exercises[0].sets * exercises[0].minutes) };
  }
  return { sets: placesOf(context, session).flatMap((index) => movementSets(exercises[index], index)) };
}
