"use strict";
// Tables that can be sorted and filtered. Nothing here is needed to read the page.
(() => {
  const order = new Intl.Collator("en", { numeric: true, sensitivity: "base" });
  const wordsOf = (text) => text.toLowerCase().split(/\s+/).filter((word) => word !== "");
  const holds = (text, words) => words.every((word) => text.includes(word));
  const make = (tag, looks) => {
    const made = document.createElement(tag);
    if (looks) made.className = looks;
    return made;
  };

  const tables = Array.from(document.querySelectorAll("main table"), (table) => {
    const caption = table.caption.textContent;
    const rows = Array.from(table.tBodies[0].rows, (row) => {
      const text = Array.from(row.cells, (cell) => cell.textContent).join(" ").toLowerCase();
      return { row, text, anywhere: text + " " + caption.toLowerCase() };
    });
    return { table, caption, rows, words: [], output: null };
  });
  const sections = Array.from(document.querySelectorAll("main section"), (section) => ({
    section,
    inside: tables.filter((one) => section.contains(one.table)),
  }));
  let pageWords = [];
  let pageInput = null;
  let pageOutput = null;

  const count = (shown, all) => (shown === all ? `all ${all} rows` : `${shown} of ${all} rows`);

  // Says which rows are shown, and leaves out sections whose tables have none.
  const show = (some) => {
    for (const one of some) {
      let shown = 0;
      for (const { row, text, anywhere } of one.rows) {
        row.hidden = !(holds(text, one.words) && holds(anywhere, pageWords));
        if (!row.hidden) shown += 1;
      }
      one.shown = shown;
      one.table.parentElement.hidden = shown === 0 && one.words.length === 0;
      if (one.output) one.output.textContent = count(shown, one.rows.length);
    }
  };
  const showPage = () => {
    pageWords = wordsOf(pageInput.value);
    show(tables);
    const filtered = pageWords.length > 0;
    for (const { section, inside } of sections)
      section.hidden = filtered && inside.length > 0 && inside.every((one) => one.shown === 0);
    const sum = (value) => tables.reduce((total, one) => total + value(one), 0);
    pageOutput.textContent = count(sum((one) => one.shown), sum((one) => one.rows.length));
  };

  const filter = (words, looks, typed) => {
    const control = make("div", "control " + looks);
    const label = make("label");
    const input = make("input");
    const output = make("span");
    input.type = "search";
    input.autocomplete = "off";
    output.setAttribute("aria-live", "polite");
    label.append(...words, input);
    control.append(label, output);
    input.addEventListener("input", () => typed(input));
    return { control, input, output };
  };

  // Ascending, descending, as it was.
  const sorted = (one, column, head) => {
    const next = { none: "ascending", ascending: "descending", descending: "none" }[head.getAttribute("aria-sort")];
    for (const other of one.table.tHead.rows[0].cells) if (other.ariaSort) other.setAttribute("aria-sort", "none");
    head.setAttribute("aria-sort", next);
    const number = head.classList.contains("number");
    const key = ({ row }) => row.cells[column].textContent;
    const value = (text) => (Number.isNaN(parseFloat(text)) ? -Infinity : parseFloat(text));
    const compare = number ? (a, b) => value(key(a)) - value(key(b)) : (a, b) => order.compare(key(a), key(b));
    const rows = one.rows.slice();
    if (next === "ascending") rows.sort(compare);
    if (next === "descending") rows.sort((a, b) => compare(b, a));
    one.table.tBodies[0].append(...rows.map(({ row }) => row));
  };

  for (const one of tables) {
    if (one.rows.length > 1) {
      Array.from(one.table.tHead.rows[0].cells, (head, column) => {
        const button = make("button");
        button.type = "button";
        button.append(...head.childNodes);
        head.append(button);
        head.setAttribute("aria-sort", "none");
        button.addEventListener("click", () => sorted(one, column, head));
      });
    }
    if (one.rows.length >= 12) {
      const name = make("span", "unseen");
      name.textContent = one.caption;
      const made = filter(["Only rows with", name], "", (input) => {
        one.words = wordsOf(input.value);
        show([one]);
      });
      one.output = made.output;
      one.table.parentElement.before(made.control);
    }
  }
  const page = filter(["Find in all tables"], "page-filter", showPage);
  pageInput = page.input;
  pageOutput = page.output;
  page.control.setAttribute("role", "search");
  document.querySelector("nav").append(page.control);

  // Where a link leads to what is left out, everything comes back.
  window.addEventListener("hashchange", () => {
    const target = document.getElementById(location.hash.slice(1));
    if (target === null || target.closest("[hidden]") === null) return;
    pageInput.value = "";
    showPage();
    target.scrollIntoView();
  });

  // A region that does not scroll needs no stop of the tab key.
  const regions = Array.from(document.querySelectorAll(".wide, .faces"));
  const stops = () => {
    const scrolls = regions.map((region) => region.scrollWidth > region.clientWidth);
    regions.forEach((region, at) => (scrolls[at] ? region.setAttribute("tabindex", "0") : region.removeAttribute("tabindex")));
  };
  stops();
  window.addEventListener("resize", stops);
})();
