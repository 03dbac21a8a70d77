// what is closed is opened for paper, for browsers whose style sheets can't
addEventListener("beforeprint", () => document.querySelectorAll("details").forEach((one) => (one.open = true)));
for (const table of document.querySelectorAll("table")) {
  const body = table.tBodies[0];
  if (body.rows.length < 2) continue;
  [...table.tHead.rows[0].cells].forEach((head, at) => {
    if (head.querySelector(".unseen")) return;
    const press = document.createElement("button");
    press.type = "button";
    press.append(...head.childNodes);
    head.append(press);
    press.addEventListener("click", () => {
      const down = head.getAttribute("aria-sort") === "ascending";
      for (const other of table.tHead.rows[0].cells) other.removeAttribute("aria-sort");
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      const key = (row) => row.cells[at].dataset.rank;
      const rank = (text) => (text === "inf" ? Infinity : text === "-inf" ? -Infinity : Number(text));
      const order = (a, b) => {
        const [x, y] = [key(a), key(b)];
        if (x !== undefined && y !== undefined) return rank(x) < rank(y) ? -1 : rank(x) > rank(y) ? 1 : 0;
        return a.cells[at].textContent.localeCompare(b.cells[at].textContent, "en", { numeric: true });
      };
      body.append(...[...body.rows].sort((a, b) => (down ? order(b, a) : order(a, b))));
    });
  });
}
