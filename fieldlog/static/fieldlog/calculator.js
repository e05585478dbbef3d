/** Adds and removes rows of a calculator, and tells a screen reader which fields were refused.
 *
 *  Without it the button asks the server for more rows, and an empty last row counts as none.
 */
const holder = document.querySelector("[data-rows]");
const addButton = document.querySelector("[data-add-row]");

const inRow = (text, number) => text.replace(/^row-\d+-/, `row-${number}-`);

function renumber() {
  [...holder.rows].forEach((row, index) => {
    const number = index + 1;
    row.querySelector("[data-row-number]").textContent = String(number);
    for (const part of row.querySelectorAll("[id], [aria-describedby], [aria-label]")) {
      if (part.id) part.id = inRow(part.id, number);
      const described = part.getAttribute("aria-describedby");
      if (described) part.setAttribute("aria-describedby", inRow(described, number));
      const label = part.getAttribute("aria-label");
      if (label) part.setAttribute("aria-label", label.replace(/\d+$/, String(number)));
    }
  });
  addButton.hidden = holder.rows.length >= Number(holder.dataset.most);
  // An answer on its way speaks of rows that are numbered otherwise.
  holder.closest("form").dispatchEvent(new CustomEvent("htmx:abort", { bubbles: true, detail: {} }));
  holder.dispatchEvent(new Event("rows-changed", { bubbles: true }));
}

function emptied(row) {
  for (const field of row.querySelectorAll("input, select")) {
    field.value = "";
    field.removeAttribute("aria-invalid");
  }
  for (const said of row.querySelectorAll(".said")) said.replaceChildren();
  return row;
}

if (holder) {
  for (const button of holder.querySelectorAll("[data-remove-row]")) button.hidden = false;

  addButton.type = "button";
  addButton.removeAttribute("name"); // htmx would send it along from now on
  addButton.addEventListener("click", () => {
    const row = emptied(holder.rows[holder.rows.length - 1].cloneNode(true));
    holder.append(row);
    renumber();
    row.querySelector("input, select").focus();
  });

  holder.addEventListener("click", (event) => {
    const button = event.target.closest("[data-remove-row]");
    if (!button) return;
    const row = button.closest("tr");
    const next = row.nextElementSibling || row.previousElementSibling;
    if (next) row.remove();
    else emptied(row);
    (next || row).querySelector("input, select").focus();
    renumber();
  });
}

document.addEventListener("htmx:afterSettle", () => {
  for (const said of document.querySelectorAll(".said")) {
    const field = document.getElementById(said.id.replace(/-error$/, ""));
    if (!field || field.type === "radio") continue;
    if (said.childElementCount) field.setAttribute("aria-invalid", "true");
    else field.removeAttribute("aria-invalid");
  }
});
