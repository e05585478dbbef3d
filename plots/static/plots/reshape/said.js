// The sentence under the map, in place of the one before.

export const sayIn = (place) => (sentence, isProblem = false) => {
  place.replaceChildren(Object.assign(document.createElement("p"), { textContent: sentence, className: isProblem ? "small is-problem" : "small" }));
};
