// A record is worked on in one tab at a time.

// A function that lets go of it, or null where another tab has it. Over plain http a browser has no locks.
export function hold(id) {
  if (!navigator.locks) return Promise.resolve(() => null);
  return new Promise((answer) => {
    navigator.locks.request(`swardbook record ${id}`, { ifAvailable: true }, (lock) => {
      if (lock === null) return answer(null);
      return new Promise((release) => answer(release));
    });
  });
}
