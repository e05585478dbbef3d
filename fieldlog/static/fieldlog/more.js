// The menu behind "More" closes on Escape and on a press beside it. Without this it closes by its own button.

for (const menu of document.querySelectorAll("details.more")) {
  menu.addEventListener("keydown", ({ key }) => {
    if (key !== "Escape" || !menu.open) return;
    menu.open = false;
    menu.querySelector("summary").focus();
  });
  document.addEventListener("click", ({ target }) => {
    if (!menu.contains(target)) menu.open = false;
  });
}
