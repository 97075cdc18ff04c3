/* A table that is edited in place: the arrows go from row to row, a cell that is come into is taken whole, and a block
   that was copied from a spreadsheet fills the cells from where it is pasted. */

const CELL = ".cells td input";

const columnOf = (cell) => [...cell.closest("tr").querySelectorAll("td input")].indexOf(cell);

// One more new row, the names of its cells counted on: "n17.1.width" becomes "n17.2.width".
function addRow(body) {
  const row = body.lastElementChild.cloneNode(true);
  const next = (name) => name.replace(/^(n\d+\.)(\d+)/, (_, lead, number) => lead + (Number(number) + 1));
  for (const cell of row.querySelectorAll("td input")) {
    cell.name = next(cell.name);
    cell.id = `f-${cell.name.replaceAll(".", "-")}`;
    cell.value = "";
    cell.removeAttribute("aria-invalid");
    cell.removeAttribute("aria-describedby");
    cell.setAttribute(
      "aria-label",
      cell.getAttribute("aria-label").replace(/\d+/, (number) => Number(number) + 1),
    );
  }
  for (const sentence of row.querySelectorAll(".field-error")) sentence.remove();
  body.append(row);
  return row;
}

document.addEventListener("keydown", (event) => {
  const cell = event.target.closest(CELL);
  if (!cell || !["ArrowUp", "ArrowDown"].includes(event.key) || event.altKey || event.ctrlKey || event.shiftKey)
    return;
  const row = cell.closest("tr");
  const next = event.key === "ArrowUp" ? row.previousElementSibling : row.nextElementSibling;
  const there = next?.querySelectorAll("td input")[columnOf(cell)];
  if (!there) return;
  event.preventDefault();
  there.focus();
  there.select();
});

document.addEventListener("click", (event) => {
  const cell = event.target.closest(CELL);
  if (cell && cell.selectionStart === cell.selectionEnd && !cell.dataset.entered) cell.select();
  if (cell) cell.dataset.entered = "yes";
});

document.addEventListener("focusout", (event) => {
  if (event.target.closest(CELL)) delete event.target.dataset.entered;
});

// The rows of a block of cells parted by tabs. A cell that stands in quotes may hold tabs, line ends, and quotes doubled,
// as RFC 4180 has it; where the quotes do not close at the cell's end, they are the cell's own.
function rowsOf(text) {
  const rows = [[]];
  for (const [, cell, end] of text.matchAll(/("(?:[^"]|"")*"(?=[\t\r\n]|$)|[^\t\r\n]*)(\t|\r\n|\r|\n|$)/g)) {
    const quoted = /^"(.*)"$/s.exec(cell);
    const said = quoted ? quoted[1].replaceAll('""', '"') : cell;
    rows.at(-1).push(said.replace(/\s+/g, " ").trim());
    if (!end) break;
    if (end !== "\t") rows.push([]);
  }
  return rows;
}

document.addEventListener("paste", (event) => {
  const cell = event.target.closest(CELL);
  const text = event.clipboardData.getData("text/plain").replace(/[\r\n]+$/, "");
  if (!cell || !/[\t\r\n]/.test(text)) return;
  event.preventDefault();
  const first = columnOf(cell);
  let row = cell.closest("tr");
  rowsOf(text).forEach((values, down) => {
    if (down > 0) row = row.nextElementSibling ?? addRow(row.parentElement);
    const cells = [...row.querySelectorAll("td input")].slice(first);
    values.forEach((value, across) => {
      if (cells[across]) cells[across].value = value;
    });
  });
});
