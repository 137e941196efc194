/* Only for comfort: sorting, searching and choosing rows. The page reads fully without it. */
(function () {
  "use strict";
  /* Words of another language come with the page; the English text is the key. */
  const words = JSON.parse(document.documentElement.dataset.words || "{}");
  const word = (text) => words[text] || text;
  const MONTHS = [word("Jan"), word("Feb"), word("Mar"), word("Apr"), word("May"), word("Jun"),
    word("Jul"), word("Aug"), word("Sep"), word("Oct"), word("Nov"), word("Dec")];
  const keyOf = (cell) => {
    if (!cell) return "";
    const said = cell.textContent.trim();
    const day = said.match(/^(\d{1,2}) (\S+) (\d{4})(?: (\d\d):(\d\d))?$/);
    if (day) {
      const minutes = day[4] ? Number(day[4]) * 60 + Number(day[5]) : 0;
      return Number(day[3]) * 10000 + MONTHS.indexOf(day[2]) * 100 + Number(day[1]) + minutes / 1440;
    }
    const plain = said.replace(/,/g, "").replace(/^[<>+]/, "");
    const figure = plain.match(/^-?\d+(\.\d+)?/);
    return figure && !/^\d{4}-W/.test(said) ? Number(figure[0]) : said.toLowerCase();
  };
  const compare = (a, b) => {
    if (typeof a === typeof b) return a < b ? -1 : a > b ? 1 : 0;
    return typeof a === "number" ? -1 : 1;
  };

  document.querySelectorAll("table.data").forEach((table) => {
    const heads = [...table.tHead.rows[0].cells];
    const body = table.tBodies[0];
    heads.forEach((head, column) => {
      if (head.hasAttribute("data-still")) return;
      /* Not a button element: browsers leave those out of a head repeated on paper. */
      const button = document.createElement("span");
      button.tabIndex = 0;
      button.setAttribute("role", "button");
      button.className = "sorter";
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("keydown", (event) => {
        if (event.key !== "Enter" && event.key !== " ") return;
        event.preventDefault();
        button.click();
      });
      button.addEventListener("click", () => {
        const up = head.getAttribute("aria-sort") !== "ascending";
        heads.forEach((other) => other.removeAttribute("aria-sort"));
        head.setAttribute("aria-sort", up ? "ascending" : "descending");
        const rows = [...body.rows].map((row) => [keyOf(row.cells[column]), row]);
        rows.sort((a, b) => compare(a[0], b[0]) * (up ? 1 : -1));
        body.append(...rows.map((pair) => pair[1]));
      });
    });

    if (!table.hasAttribute("data-search")) return;
    const tools = document.createElement("div");
    tools.className = "tools";
    const search = document.createElement("input");
    search.type = "search";
    search.placeholder = word("part of any cell");
    const label = document.createElement("label");
    label.append(word("Search") + " ", search);
    const count = document.createElement("output");
    tools.append(label);
    const choices = [];
    heads.forEach((head, column) => {
      if (!head.hasAttribute("data-choice")) return;
      const select = document.createElement("select");
      const values = [...new Set([...body.rows].map((row) => row.cells[column].textContent))];
      [word("all"), ...values.sort()].forEach((value) => select.add(new Option(value)));
      const holder = document.createElement("label");
      holder.append(head.textContent + " ", select);
      tools.append(holder);
      choices.push([column, select]);
    });
    tools.append(count);
    const texts = new Map([...body.rows].map((row) => [row, row.textContent.toLowerCase()]));
    const show = () => {
      const wanted = search.value.trim().toLowerCase();
      let seen = 0;
      for (const row of body.rows) {
        const fits = (!wanted || texts.get(row).includes(wanted)) && choices.every(
          ([column, select]) =>
            select.selectedIndex < 1 || row.cells[column].textContent === select.value);
        row.hidden = !fits;
        seen += fits;
      }
      count.textContent = word("{} of {} rows").replace("{}", seen).replace("{}", body.rows.length);
    };
    tools.addEventListener("input", show);
    table.parentNode.before(tools);
    show();
  });

  const openTarget = () => {
    const target = location.hash.length > 1 && document.getElementById(location.hash.slice(1));
    for (let one = target; one; one = one.parentElement) {
      if (one.tagName === "DETAILS") one.open = true;
    }
  };
  addEventListener("hashchange", openTarget);
  openTarget();
})();
