// The grid is drawn on a canvas; only the cells in view stand in its table for screen readers, which take the focus.
let tries = 0, asked = false;
const find = () => {
  const grid = document.querySelector(at.grid);
  const scroller = grid?.querySelector(".dvn-scroller");
  const heads = [...(grid?.querySelectorAll("canvas th") ?? [])];
  const named = (one) => one.textContent.trim();
  const head = heads.find((one) => named(one) === at.label) ?? heads.find((one) => named(one).startsWith(at.label));
  const column = head && head.getAttribute("aria-colindex");
  const cell = head && grid.querySelector(`[id='glide-cell-${column}-${at.row - 1}']`);
  if (cell?.getAttribute("aria-selected") === "true") return;
  if (cell) {
    grid.scrollIntoView({ block: "center" });
    // A grid that gets the focus may choose the first cell in view: the cell is asked for until it is the chosen one.
    if (!asked) grid.querySelector("canvas[data-testid='data-grid-canvas']")?.focus();
    asked = true;
    cell.focus();
  } else if (scroller) {
    const share = (at.row - 1) / Math.max(1, Number(grid.querySelector("canvas table")?.getAttribute("aria-rowcount")) - 1);
    scroller.scrollTop = share * (scroller.scrollHeight - scroller.clientHeight);
    if (!head && tries > 4) scroller.scrollLeft += scroller.clientWidth / 2;
  }
  if (40 > ++tries) setTimeout(find, 150);
};
setTimeout(find, 300);
