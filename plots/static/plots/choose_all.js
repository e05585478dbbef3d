// The buttons that choose all or none of a form's outlines, where one page shows them all: the boxes follow
// without asking the server.

for (const buttons of document.querySelectorAll("[data-choose-all]")) {
  buttons.addEventListener("click", (event) => {
    const value = event.target.closest("button")?.value;
    if (!value) return;
    event.preventDefault();
    for (const box of buttons.closest("form").querySelectorAll('input[type="checkbox"]')) box.checked = value === "all";
  });
}
