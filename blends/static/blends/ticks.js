/** Shows the box that ticks all rows, which needs a script, and says how many are ticked. */
const all = document.querySelector("[data-tick-all]");
const boxes = [...document.querySelectorAll("input[data-tick]:not([data-tick-all])")];
const count = document.querySelector("[data-tick-count]");

function say() {
  const ticked = boxes.filter((box) => box.checked).length;
  all.checked = ticked > 0 && ticked === boxes.length;
  all.indeterminate = ticked > 0 && ticked < boxes.length;
  if (count) count.textContent = ticked === 0 ? "" : `${ticked} ticked`;
}

if (all && boxes.length) {
  all.closest("[hidden]").hidden = false;
  all.addEventListener("change", () => {
    for (const box of boxes) box.checked = all.checked;
    say();
  });
  for (const box of boxes) box.addEventListener("change", say);
  say();
}
