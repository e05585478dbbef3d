/** Keeps open what was unfolded, and the field that is typed in above the bar, when htmx brings the figures anew. */
const open = new Set();

document.addEventListener("htmx:beforeSwap", (event) => {
  open.clear();
  for (const each of event.detail.target.querySelectorAll("details[id][open]")) open.add(each.id);
});

document.addEventListener("htmx:afterSwap", (event) => {
  for (const each of event.detail.target.querySelectorAll("details[id]")) each.open = open.has(each.id);
});

// The bar at the foot grows with what it has to say.
document.addEventListener("htmx:afterSettle", () => {
  const field = document.activeElement;
  if (field.matches("input, select, textarea")) field.scrollIntoView({ block: "nearest" });
});
