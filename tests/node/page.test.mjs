// Pages of families in a real browser: Chromium, driven by playwright-core, held against the rules of axe-core. The
// corpus is built anew, so that nothing here rests on what was committed. Whatever is missing fails.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import fs from "node:fs";
import { createRequire } from "node:module";
import os from "node:os";
import path from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath, pathToFileURL } from "node:url";

const require = createRequire(import.meta.url);
const { chromium } = require("playwright-core");
const axe = fs.readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

const root = fileURLToPath(new URL("../..", import.meta.url));
const loomproof = process.env.LOOMPROOF_BINARY ?? path.join(root, ".build/release/loomproof");
const folder = fs.mkdtempSync(path.join(os.tmpdir(), "page_browser_test."));
const page = (family) => pathToFileURL(path.join(folder, "generated", family, "page.html")).href;
let browser;

before(async () => {
  execFileSync(loomproof, ["build", path.join(root, "reference"), "--out", path.join(folder, "generated")]);
  // As root, Chromium has no sandbox of its own.
  browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox"] });
});
after(async () => {
  await browser?.close();
  fs.rmSync(folder, { recursive: true, force: true });
});

// Opens a page and keeps what must not happen on any: requests beside the file itself, errors, dialogs.
const opened = async (url, options = {}) => {
  const context = await browser.newContext({ viewport: { width: 1024, height: 768 }, ...options });
  context.setDefaultTimeout(0);
  const tab = await context.newPage();
  const unwanted = [];
  tab.on("request", (request) => request.url().split("#")[0] === url.split("#")[0] || unwanted.push(request.url()));
  tab.on("pageerror", (error) => unwanted.push(String(error)));
  tab.on("console", (message) => unwanted.push(message.text()));
  tab.on("dialog", (dialog) => unwanted.push(dialog.message()) && dialog.dismiss());
  await tab.goto(url);
  return { tab, unwanted, close: () => context.close() };
};
// axe-core's own rule sets: WCAG 2.0 to 2.2, levels A and AA, and its best practices.
const sets = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
const violations = async (tab, where, rules = {}) => {
  await tab.evaluate(axe);
  const found = await tab.evaluate(
    ([within, runOnly, some]) => globalThis.axe.run(within, { runOnly, rules: some, resultTypes: ["violations"] }),
    [where, sets, rules],
  );
  assert.ok(found.passes.length > 10, "axe judged something");
  return found.violations.map((one) => `${one.id}: ${one.nodes[0].html.slice(0, 200)}`);
};
const visibleRows = (tab, caption) =>
  tab.evaluate((of) => {
    const table = Array.from(document.querySelectorAll("table")).find((one) => one.caption.textContent === of);
    const rows = Array.from(table.tBodies[0].rows).filter((row) => row.checkVisibility());
    return rows.map((row) => row.cells[0].textContent);
  }, caption);
const text = (tab) => tab.evaluate(() => document.querySelector("main").innerText.replace(/\s+/g, " "));

for (const colorScheme of ["light", "dark"])
  test(`a published family is clean by axe, ${colorScheme}`, async () => {
    const { tab, unwanted, close } = await opened(page("trailer-12v"), { colorScheme });
    assert.deepEqual(await violations(tab, "html"), []);
    const ground = await tab.evaluate(() => getComputedStyle(document.body).backgroundColor);
    assert.equal(ground === "rgb(255, 255, 255)", colorScheme === "light");
    // A face stays black on white.
    assert.equal(await tab.evaluate(() => document.querySelector("figure svg path").getAttribute("fill")), "#fff");
    assert.deepEqual(unwanted, []);
    await close();
  });

test("a whole vehicle is clean by axe", async () => {
  const { tab, unwanted, close } = await opened(page("croft"));
  // What is drawn on a face is one picture to those rules, which the other family's faces have passed.
  await tab.evaluate(() => document.querySelectorAll("figure svg > :not(title, desc)").forEach((one) => one.remove()));
  // Its colours are few and its cells many: what has to do with colour is judged on some parts and charts.
  const colours = { "color-contrast": { enabled: false }, "link-in-text-block": { enabled: false } };
  assert.deepEqual(await violations(tab, "html", colours), []);
  await tab.evaluate(() => {
    const kept = (all) => Array.from(all).forEach((one, at) => at > 1 && one.remove());
    kept(document.querySelectorAll(".part:not(:has(.warning))"));
    kept(document.querySelectorAll(".part:has(.warning)"));
    kept(document.querySelectorAll(".chart"));
  });
  for (const colorScheme of ["light", "dark"]) {
    await tab.emulateMedia({ colorScheme });
    assert.deepEqual(await violations(tab, "html"), []);
  }
  assert.deepEqual(unwanted, []);
  await close();
});

test("no page scrolls sideways, and what does is reached by keyboard", async () => {
  for (const family of ["croft", "trailer-12v"])
    for (const width of [360, 1024, 1920]) {
      const { tab, close } = await opened(page(family), { viewport: { width, height: 800 } });
      const sizes = await tab.evaluate(() => {
        const scrolling = Array.from(document.querySelectorAll(".wide, .faces")).filter(
          (one) => one.scrollWidth > one.clientWidth,
        );
        return {
          page: document.documentElement.scrollWidth,
          scrolling: scrolling.length,
          reached: scrolling.filter((one) => one.tabIndex === 0 && one.ariaLabel !== "").length,
        };
      });
      assert.equal(sizes.page, width);
      assert.equal(sizes.reached, sizes.scrolling);
      if (width === 360) assert.ok(sizes.scrolling > 10);
      await close();
    }
});

test("a narrow, a middling and a wide screen are drawn, and not blank", async () => {
  const seen = new Set();
  for (const width of [360, 1024, 1920]) {
    const { tab, close } = await opened(page("trailer-12v") + "#parts", { viewport: { width, height: 800 } });
    const picture = await tab.screenshot();
    assert.ok(picture.length > 20_000);
    seen.add(picture.toString("base64"));
    await close();
  }
  assert.equal(seen.size, 3);
});

test("without script all of it is there, and nothing to press", async () => {
  const url = page("trailer-12v");
  const plain = await opened(url, { javaScriptEnabled: false });
  // Playwright's own evaluation still works where the page's script does not.
  assert.equal(await plain.tab.evaluate(() => document.querySelectorAll("button, input").length), 0);
  const scripted = await opened(url);
  assert.ok((await scripted.tab.evaluate(() => document.querySelectorAll("button, input").length)) > 50);
  const content = (tab) =>
    tab.evaluate(() => Array.from(document.querySelectorAll("main th, main td, main h4, main svg"), (one) => one.textContent));
  assert.deepEqual(await content(plain.tab), await content(scripted.tab));
  assert.equal(await plain.tab.evaluate(() => Array.from(document.querySelectorAll("td")).every((one) => one.checkVisibility())), true);
  await plain.close();
  await scripted.close();
});

test("tables are sorted by keyboard", async () => {
  const { tab, unwanted, close } = await opened(page("croft"));
  const caption = "Cavities of CHASSIS-LOOM C30 in eras c..d";
  const head = tab.locator("table", { has: tab.locator("caption", { hasText: caption }) }).locator("thead th");
  const circuit = head.filter({ hasText: "Circuit" });
  const before = await visibleRows(tab, caption);
  assert.deepEqual(before, ["1", "2", "3", "4", "5", "6", "7", "8"]);
  await circuit.getByRole("button").focus();
  assert.equal(await circuit.getAttribute("aria-sort"), "none");
  await tab.keyboard.press("Enter");
  assert.equal(await circuit.getAttribute("aria-sort"), "ascending");
  // ACT-DRV, FEED-UNIT, NLIFT-HI, NLIFT-LO, RACK-POS, RACK-REF, RACK-RTN, STOP-SOL
  assert.deepEqual(await visibleRows(tab, caption), ["2", "1", "7", "8", "4", "3", "5", "6"]);
  await tab.keyboard.press("Space");
  assert.equal(await circuit.getAttribute("aria-sort"), "descending");
  assert.deepEqual(await visibleRows(tab, caption), ["6", "5", "3", "4", "8", "7", "1", "2"]);
  await tab.keyboard.press("Space");
  assert.equal(await circuit.getAttribute("aria-sort"), "none");
  assert.deepEqual(await visibleRows(tab, caption), before);
  // Numbers as numbers, cavities as people count.
  await head.filter({ hasText: "mm²" }).getByRole("button").press("Enter");
  assert.deepEqual((await visibleRows(tab, caption)).slice(0, 5), ["3", "4", "5", "7", "8"]);
  await head.filter({ hasText: "Cavity" }).getByRole("button").press("Enter");
  assert.deepEqual(await visibleRows(tab, caption), before);
  assert.equal(await head.filter({ hasText: "mm²" }).getAttribute("aria-sort"), "none");
  assert.deepEqual(unwanted, []);
  await close();
});

test("tables are filtered by keyboard, and the count is announced", async () => {
  const { tab, unwanted, close } = await opened(page("croft"));
  await tab.keyboard.press("Tab");
  assert.equal(await tab.evaluate(() => document.activeElement.textContent), "Skip to the content");
  const input = tab.getByRole("searchbox", { name: "Find in all tables" });
  while ((await tab.evaluate(() => document.activeElement.type)) !== "search") await tab.keyboard.press("Tab");
  await tab.keyboard.type("rack-pos C30 eras");
  const status = tab.locator(".page-filter [aria-live=polite]");
  assert.match(await status.textContent(), /^\d+ of \d+ rows$/);
  assert.deepEqual(await visibleRows(tab, "Cavities of CHASSIS-LOOM C30 in eras c..d"), ["4"]);
  assert.equal(await tab.locator("#sources").isVisible(), false);
  await input.fill("no such words");
  assert.match(await status.textContent(), /^0 of /);
  assert.equal(await tab.locator("main table:visible").count(), 0);
  // A link to what is left out brings everything back.
  await tab.evaluate(() => (location.hash = "#sources"));
  await tab.locator("#sources").waitFor();
  assert.equal(await input.inputValue(), "");
  // One table of many rows has a filter of its own.
  const own = tab.getByRole("searchbox", { name: "Only rows with Looms and components with their connectors" });
  await own.focus();
  await tab.keyboard.type("lift-relay");
  assert.deepEqual(await visibleRows(tab, "Looms and components with their connectors"), ["LIFT-RELAY"]);
  assert.match(await own.locator("xpath=ancestor::div[1]").locator("[aria-live]").textContent(), /^1 of \d+ rows$/);
  assert.deepEqual(unwanted, []);
  await close();
});

test("on paper every row is there, with its heads on each page, and nothing to press", async () => {
  const { tab, close } = await opened(page("trailer-12v"), { colorScheme: "dark" });
  const all = await tab.evaluate(() => Array.from(document.querySelectorAll("main tbody th"), (one) => one.textContent).length);
  await tab.getByRole("searchbox", { name: "Find in all tables" }).fill("no such words");
  await tab.emulateMedia({ media: "print" });
  assert.equal(await tab.locator("main tbody th:visible").count(), all);
  assert.equal(await tab.evaluate(() => getComputedStyle(document.body).backgroundColor), "rgb(255, 255, 255)");
  await tab.emulateMedia({ media: null });
  const pdf = path.join(folder, "page.pdf");
  await tab.pdf({ path: pdf, preferCSSPageSize: true });
  const info = execFileSync("pdfinfo", [pdf], { encoding: "utf8" });
  assert.match(info, /Page size: .*\(A4\)/);
  const words = execFileSync("pdftotext", ["-layout", pdf, "-"], { encoding: "utf8" });
  for (const wanted of ["Cautions", "Cavities of TRAILER C1", "Seen from the wire side", "Differences", "What is known", "Sources"])
    assert.ok(words.includes(wanted), wanted);
  const sheets = words.split("\f").slice(0, -1);
  sheets.forEach((sheet, at) => {
    assert.ok(sheet.includes(`page ${at + 1} of ${sheets.length}`), sheet);
    assert.match(sheet, /trailer-12v, pack [0-9a-f]{32}/);
  });
  for (const never of ["Find in all tables", "Only rows with", "Skip to", "↕", " rows\n"]) assert.ok(!words.includes(never), never);
  await close();
});

// A small corpus in which every title, reason and note is markup.
test("a corpus of markup and script is text, in a browser too", async () => {
  const corpus = path.join(folder, "corpus");
  fs.cpSync(path.join(root, "tests/fixtures/base"), corpus, { recursive: true });
  const attacks = [
    `<script>window.attacked = 1; alert(1)</script>`,
    `\\"><img src=x onerror=alert(2)>`,
    `</style></script><script>alert(3)</script>`,
    `' onmouseover='alert(4)' x='`,
    `]]>--><svg onload=alert(5)>`,
  ];
  let number = 0;
  for (const file of fs.readdirSync(corpus, { recursive: true }).filter((name) => name.endsWith(".yaml"))) {
    const whole = path.join(corpus, file);
    const words = () => `"${attacks[number++ % attacks.length]} ${number}"`;
    const changed = fs
      .readFileSync(whole, "utf8")
      .replace(/^( *(?:title|because|note|where)): +[^"{>|\n].*$/gm, (_, key) => `${key}: ${words()}`) // on a line of its own
      .replace(/([{,] *(?:title|because|note|where)): *("[^"]*"|[^,}\n"]+)/g, (_, key) => `${key}: ${words()}`);
    fs.writeFileSync(whole, changed);
  }
  assert.ok(number > 20);
  const out = path.join(folder, "hostile");
  execFileSync(loomproof, ["build", corpus, "--out", out]);
  const family = fs.readdirSync(out).find((name) => fs.existsSync(path.join(out, name, "page.html")));
  const { tab, unwanted, close } = await opened(pathToFileURL(path.join(out, family, "page.html")).href);
  assert.equal(await tab.evaluate(() => window.attacked), undefined);
  assert.equal(await tab.evaluate(() => document.querySelectorAll("img, iframe, object, [onerror], [onload]").length), 0);
  assert.equal(await tab.evaluate(() => document.scripts.length), 1);
  const seen = await text(tab);
  for (const attack of attacks) assert.ok(seen.includes(attack.replaceAll("\\", "")), attack);
  // The words are in headings and cells; what is pressed still works beside them.
  await tab.getByRole("searchbox", { name: "Find in all tables" }).fill("<script>");
  assert.match(await tab.locator(".page-filter [aria-live]").textContent(), /^\d+ of \d+ rows$/);
  assert.deepEqual(await violations(tab, "html", { "color-contrast": { enabled: false } }), []);
  assert.deepEqual(unwanted, []);
  await close();
});
