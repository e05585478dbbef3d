/** Warns before a form[data-unsaved] is left with changes that have not been saved.
 *
 *  data-unsaved="yes" says that the server gave the form back with changes in it. Fields with data-tick
 *  only mark rows, those inside data-asks only ask, and are no change. [data-unsaved-words] inside the form is shown while there are some.
 */
for (const form of document.querySelectorAll("form[data-unsaved]")) {
  const words = form.querySelector("[data-unsaved-words]");
  let changed = false;

  const say = (isChanged) => {
    changed = isChanged;
    if (words) words.hidden = !isChanged;
  };
  const noticed = (event) => {
    if (!event.target.closest("[data-tick], [data-asks]")) say(true);
  };

  say(form.dataset.unsaved === "yes");
  form.addEventListener("input", noticed);
  form.addEventListener("change", noticed);
  form.addEventListener("rows-changed", () => say(true));
  // Enter and every button of the form send it whole; htmx asks for figures without leaving the page.
  form.addEventListener("submit", (event) => {
    if (!event.defaultPrevented) say(false);
  });
  addEventListener("beforeunload", (event) => {
    if (changed) event.preventDefault();
  });
}
