// Steps that can be taken back and taken again.

const AT_MOST = 300;

export const begin = (present) => ({ past: [], present, future: [] });

// A step with the tag of the one before goes on with it: a corner that arrow keys push along is one step.
export function step(history, present, tag = null) {
  const isSameStep = tag !== null && tag === history.tag;
  const past = isSameStep ? history.past : [...history.past, history.present].slice(-AT_MOST);
  return { past, present, future: [], tag };
}

export const undo = ({ past, present, future }) => ({ past: past.slice(0, -1), present: past.at(-1), future: [present, ...future] });
export const redo = ({ past, present, future }) => ({ past: [...past, present], present: future[0], future: future.slice(1) });
