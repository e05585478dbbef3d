// A button that copies the text of the element that it names. Without leave to the clipboard it selects the text.

for (const button of document.querySelectorAll("button[data-copies]")) {
  const source = document.getElementById(button.dataset.copies);
  button.hidden = false;
  button.addEventListener("click", async () => {
    const said = document.getElementById(button.dataset.says);
    try {
      await navigator.clipboard.writeText(source.value);
      said.textContent = "Copied.";
    } catch {
      source.focus();
      source.select();
      said.textContent = "Selected: copy it with the keys of your machine.";
    }
  });
}
