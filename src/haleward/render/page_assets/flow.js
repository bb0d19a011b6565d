// From one block of the sheet to the next. The screens are given by main.js, so that none needs to know the others.
import { openJump } from "./jump.js";

/** The moves between blocks. `screens[kind](context, flow)` draws a block of that kind. */
export function makeFlow(context, screens) {
  const { sheet } = context;
  let leave = () => {};

  const open = (name) => {
    leave();
    leave = screens[name](context, flow) ?? (() => {});
  };

  const goTo = (index) => {
    context.place = { ...context.place, screen: "block", block: index, clock: null, reps: null, rests: 0 };
    context.save();
    flow.open();
  };

  const flow = {
    open: () => open(context.place.screen === "block" ? context.block().kind : context.place.screen),
    goTo,
    next: () => {
      const index = context.place.block + 1;
      if (index < sheet.blocks.length) goTo(index);
    },
    screen: (name, changes = {}) => {
      context.place = { ...context.place, ...changes, screen: name };
      context.save();
      flow.open();
    },
    skipExercise: () => {
      const now = context.block().exercise;
      const later = sheet.blocks.findIndex(
        (block, index) => index > context.place.block && ["setup", "cool_down", "close"].includes(block.kind) && block.exercise !== now,
      );
      goTo(later < 0 ? sheet.blocks.length - 1 : later);
    },
    jump: () => openJump(context, flow),
    /** Stop here: after work the cool-down comes first, from which one can stop again. */
    end: () => {
      const worked = context.place.sets_done > 0 || ["set", "walk"].includes(context.block().kind);
      const slowing = sheet.blocks.findIndex((block, index) => block.kind === "cool_down" && index > context.place.block);
      goTo(worked && slowing >= 0 && context.block().kind !== "cool_down" ? slowing : sheet.blocks.length - 1);
    },
  };
  return flow;
}
