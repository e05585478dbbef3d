/** Fills that were ticked off stay ticked in this browser; nothing is sent. The key changes with the plot's pounds, since
 *  the fills are others then. */
import { recall, remember } from "../site/memory.js";

for (const sheet of document.querySelectorAll("[data-ticks]")) {
  const key = `swardbook-fills-${sheet.dataset.ticks}`;
  const boxes = [...sheet.querySelectorAll("input[data-fill]")];
  const ticked = new Set(recall(key) ?? []);
  for (const box of boxes) {
    box.checked = ticked.has(box.dataset.fill);
    box.addEventListener("change", () => {
      const now = boxes.filter((each) => each.checked).map((each) => each.dataset.fill);
      remember(key, now.length ? now : null);
    });
  }
}
