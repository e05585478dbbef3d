// The list beside the map: a row is any element with data-outline="<id of the feature>".

// Pointing at a row, or moving the focus into it, calls hot(id or null); a click on the row that is not on
// something with a purpose of its own calls choose(id).
export function listenToRows({ hot, choose }) {
  const rowOf = (target) => target.closest?.("[data-outline]");
  const idOf = (target) => rowOf(target)?.dataset.outline ?? null;
  for (const event of ["pointerover", "focusin"]) {
    document.addEventListener(event, ({ target }) => {
      if (!target.closest?.("[data-map]")) hot(idOf(target));
    });
  }
  document.addEventListener("click", ({ target }) => {
    const id = idOf(target);
    if (id !== null && !target.closest("a, button, input, select, label, summary")) choose(id);
  });
}

export function markRow(id, state, on) {
  document.querySelector(`[data-outline="${CSS.escape(id)}"]`)?.classList.toggle(state, on);
}

// Brings the row into view where list and map stand side by side; on a phone that would push the map away.
export function showRow(id) {
  if (!matchMedia("(min-width: 60rem)").matches) return;
  document.querySelector(`[data-outline="${CSS.escape(id)}"]`)?.scrollIntoView({ block: "nearest" });
}
