/** Adds and removes rows of a formset in the page; without it the server adds spare rows.
 *
 *  [data-rows="prefix"] holds the rows, template[data-row-template] an empty one with __prefix__ for its
 *  number. A removed row leaves a gap in the numbers, which the server reads as an empty row.
 */
const numbered = (text, number) => text.replaceAll("__prefix__", String(number));

const holder = document.querySelector("[data-rows]");
const template = document.querySelector("template[data-row-template]");
const total = holder && document.getElementById(`id_${holder.dataset.rows}-TOTAL_FORMS`);

function announce() {
  holder.dispatchEvent(new Event("rows-changed", { bubbles: true }));
}

function emptyRow(number) {
  const row = template.content.firstElementChild.cloneNode(true);
  for (const part of row.querySelectorAll("*")) {
    for (const attribute of part.attributes) attribute.value = numbered(attribute.value, number);
  }
  for (const place of row.querySelectorAll("[data-place]")) place.textContent = `Row ${number + 1}, `;
  for (const button of row.querySelectorAll("[data-remove-row]")) button.hidden = false;
  return row;
}

if (holder && template && total) {
  for (const button of holder.querySelectorAll("[data-remove-row]")) button.hidden = false;

  document.querySelector("[data-add-row]").addEventListener("click", (event) => {
    event.preventDefault();
    const row = emptyRow(Number(total.value));
    total.value = String(Number(total.value) + 1);
    holder.append(row);
    row.querySelector("select, input").focus();
  });

  holder.addEventListener("click", (event) => {
    const button = event.target.closest("[data-remove-row]");
    if (!button) return;
    const row = button.closest("tr");
    const next = row.nextElementSibling || row.previousElementSibling;
    row.remove();
    (next?.querySelector("select, input") || document.querySelector("[data-add-row]")).focus();
    announce();
  });
}
