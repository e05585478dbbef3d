// The buttons that tick or clear every checkbox of their form; hidden where there is no JavaScript.

for (const buttons of document.querySelectorAll("[data-choose-all]")) {
  buttons.hidden = false;
  buttons.addEventListener("click", ({ target }) => {
    const to = target.closest("[data-to]")?.dataset.to;
    if (!to) return;
    for (const box of buttons.closest("form").querySelectorAll('input[type="checkbox"]')) box.checked = to === "all";
  });
}
