/** Shows the print button, which needs a script; the browser's own menu prints without it. */
for (const button of document.querySelectorAll("[data-print]")) {
  button.hidden = false;
  button.addEventListener("click", () => window.print());
}
