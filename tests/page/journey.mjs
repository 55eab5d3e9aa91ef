// A contractor at the kitchen table: opens the page, moves sliders, reads what changed, sets two variants side by side, scrubs
// through a day, saves, reloads; with a mouse, with the keyboard alone, on a phone, in light and dark.

import { execFileSync } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { HtmlValidate } from "html-validate";
import { browser, check, program, serve, shot, violations, watched } from "./browser.mjs";

const here = resolve(fileURLToPath(import.meta.url), "..");
const folder = mkdtempSync(join(tmpdir(), "suncask-journey-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
execFileSync(program, ["new", "house.toml"], { cwd: folder });

const chromium = await browser();
const server = await serve(folder, "house.toml");
const origin = server.address.split("#")[0];
const found = [];

async function visit(options) {
  const context = await chromium.newContext(options);
  const page = await context.newPage();
  page.setDefaultTimeout(30_000);
  watched(page, origin, found);
  await page.goto(server.address);
  await turned(page, 0);
  return page;
}

const turns = (page) => page.evaluate(() => Number(document.body.dataset.turns ?? 0));
const turned = (page, before) => page.waitForFunction((count) => Number(document.body.dataset.turns ?? 0) > count, before);

// Does something and waits until the figures behind it are on the screen.
async function acting(page, act) {
  const before = await turns(page);
  await act();
  await turned(page, before);
}

const cell = (page, key, side) => page.locator(`#figures tr[data-key="${key}"] td.${side}`).first().innerText();
const number = (text) => Number(text.replace(/[^\d.\u2212-]/g, "").replace("\u2212", "-"));
const slide = (page, id, value) => acting(page, () => page.locator(`#control-${id}`).fill(String(value)));
const wide = { viewport: { width: 1400, height: 900 }, colorScheme: "light" };

// --- Open, move, read ------------------------------------------------------------------------------------------------
let page = await visit(wide);
check("the page opens with the house's name", (await page.locator("h1").innerText()) === "Invented house with one tank");
const first = number(await cell(page, "saved_kwh", "a"));
check("it shows what the year saves", first > 500, first);
check("every figure has a unit or is a count", await page.locator("#figures tbody td.a").evaluateAll((cells) => cells.every((one) => /\d|never|not within/.test(one.innerText))));
await slide(page, "collectors", 4);
const four = number(await cell(page, "saved_kwh", "a"));
check("more collectors save more", four > first, [first, four]);
check("the moved control shows its value", (await page.locator("#control-collectors ~ output, .control:has(#control-collectors) output").first().innerText()) === "4");
await acting(page, () => page.locator(".control:has(#control-collectors) button").click());
check("back to the job is back to its year", number(await cell(page, "saved_kwh", "a")) === first);
await slide(page, "people", 8);
check("a day's water follows the people", (await page.locator(".control:has(#control-daily) output").innerText()) === "120 gal");
await acting(page, () => page.locator("#undo").click());
check("undo takes the move back", number(await cell(page, "saved_kwh", "a")) === first);
await acting(page, () => page.locator("#control-timer").selectOption("11 am - 3 pm"));
check("a timer changes what is bought", number(await cell(page, "saved_kwh", "a")) !== first);
await acting(page, () => page.locator("#reset").click());

// --- A setting that cannot be run ----------------------------------------------------------------------------------------
await slide(page, "off", 20);
const fault = page.locator("#fault-off");
check("a fault stands beside its control", (await fault.isVisible()) && (await fault.innerText()).includes("larger difference"));
check("the control is marked for screen readers", (await page.locator("#control-off").getAttribute("aria-invalid")) === "true");
check("the figures are marked as old", (await page.locator("#old").isVisible()) && (await page.locator("#figures td.a.old").count()) > 5);
check("and stay what they were", number(await cell(page, "saved_kwh", "a")) === first);
await shot(page, "fault");
await acting(page, () => page.locator("#reset").click());
check("no fault is left", !(await fault.isVisible()) && !(await page.locator("#old").isVisible()));

// --- From input to picture -------------------------------------------------------------------------------------------------
const moves = [["tilt", 20, 50], ["azimuth", 120, 240], ["tank", 60, 120], ["thermostat", 115, 140], ["on", 8, 30], ["daily", 30, 90]];
const median = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];
const times = [];
const years = [];
for (const [id, low, high] of moves) {
  const own = [];
  for (let i = 0; i < 8; i += 1) {
    await page.evaluate(() => performance.clearMeasures());
    await slide(page, id, Math.round((low + ((high - low) * i) / 7) / 5) * 5 + (id === "tank" ? 0 : i % 2 === 0 || id === "azimuth" ? 0 : 1));
    const turn = await page.evaluate(() => performance.getEntriesByName("suncask-turn").map(({ duration, detail }) => ({ duration, detail })).at(-1));
    own.push(turn.duration);
    years.push(turn.detail);
  }
  times.push(...own);
  console.log(`from input to picture, ${id}: median ${median(own).toFixed(0)} ms`);
}
console.log(`from input to picture, ${times.length} moves: median ${median(times).toFixed(0)} ms, longest ${Math.max(...times).toFixed(0)} ms; of it the server's part, year and pictures: median ${median(years).toFixed(0)} ms (goal: median under 150 ms on two cores)`);
await acting(page, () => page.locator("#reset").click());
const dragged = await page.evaluate(async () => {
  const slider = document.getElementById("control-tilt");
  const seen = new Set();
  for (let tilt = 10; tilt <= 60; tilt += 1) {
    slider.value = tilt;
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((done) => setTimeout(done, 16));
    seen.add(document.querySelector('#figures tr[data-key="saved_kwh"] td.a').innerText);
  }
  return seen.size;
});
check("figures move while a slider is dragged", dragged >= 2, dragged);
await page.waitForFunction(() => document.querySelector(".control:has(#control-tilt) output").innerText === "60\u00b0");
await page.waitForTimeout(1500);
const settled = await cell(page, "saved_kwh", "a");
await slide(page, "tilt", 61);
await slide(page, "tilt", 60);
check("the last place of a drag is what is shown", (await cell(page, "saved_kwh", "a")) === settled);

// --- Two variants -----------------------------------------------------------------------------------------------------------
await acting(page, () => page.locator("#reset").click());
await acting(page, () => page.locator("#second").click());
check("a second variant begins as a copy", (await cell(page, "saved_kwh", "b")) === (await cell(page, "saved_kwh", "a")));
await acting(page, () => page.locator('input[name="layout"]').nth(1).check());
await slide(page, "collectors", 3);
const [a, b] = [number(await cell(page, "saved_kwh", "a")), number(await cell(page, "saved_kwh", "b"))];
check("variant A stays while B moves", a === first && b !== first, [a, b]);
const change = number(await page.locator('#figures tr[data-key="saved_kwh"] td').nth(2).innerText());
check("the difference is B less A", Math.abs(change - (b - a)) <= 1, [change, a, b]);
const pictures = await page.locator("#pictures svg, #drawings svg").evaluateAll((all) => all.map((svg) => svg.querySelector("desc")?.textContent ?? ""));
check("both variants have every picture", pictures.length === 10, pictures.length);
check("every picture says its figures in words", pictures.every((words) => words.length > 60 && /\d/.test(words)));
await shot(page, "variants");

// --- Through a day ------------------------------------------------------------------------------------------------------------
const slices = (side) => page.locator(`#drawings .of-${side} [data-tank="1"][data-slice]`).evaluateAll((all) => all.map((one) => getComputedStyle(one).fill));
await page.locator("#minute").fill("360");
const morning = await slices("a");
const cold = await page.locator("#readings tbody tr").first().innerText();
await page.locator("#minute").fill("840");
const afternoon = await slices("a");
check("the tank has a color for each slice", morning.length > 5 && new Set(afternoon).size > 1, afternoon);
check("scrubbing recolors it", morning.join() !== afternoon.join());
check("and changes the readings", (await page.locator("#readings tbody tr").first().innerText()) !== cold);
check("the drawing shows a temperature", /^\d+ °F$/.test(await page.locator('#drawings .of-a [data-reading="tank-1-top"]').first().evaluate((text) => text.textContent)));
check("the slider tells its time and the tank", /2:00 pm, tank top \d+ °F/.test(await page.locator("#minute").getAttribute("aria-valuetext")));
await acting(page, () => page.locator("#day-word").selectOption({ label: "dull day" }));
await acting(page, () => page.locator("#day-month").selectOption("0"));
check("a date may be chosen", (await page.locator("#day-date").inputValue()) !== "");

// --- Units ------------------------------------------------------------------------------------------------------------------------
await acting(page, () => page.locator('input[name="units"][value="si"]').check());
await page.waitForFunction(() => document.querySelector('#figures tr[data-key="hottest_tank_c"] td.b').innerText.includes("°C"));
check("SI is shown", (await cell(page, "hottest_tank_c", "a")).includes("°C") && (await page.locator(".control:has(#control-tank) output").innerText()).endsWith(" L"));
await page.waitForFunction(() => document.querySelectorAll('#figures tr[data-key="hottest_tank_c"] td')[2].innerText.endsWith(" K"));
check("a temperature differs by K", true);
check("no other unit is left", !/°F|\bgal\b/.test(await page.locator("#figures, #readings").allInnerTexts().then((texts) => texts.join())));
await acting(page, () => page.locator('input[name="units"][value="us"]').check());

// --- Accessible, valid, on every screen --------------------------------------------------------------------------------------
const clean = async (name, looked) => check(`axe-core finds nothing: ${name}`, (await violations(looked)).length === 0, await violations(looked));
await clean("wide, light, two variants", page);
await page.emulateMedia({ colorScheme: "dark" });
await shot(page, "variants-dark");
await clean("wide, dark", page);
await page.emulateMedia({ colorScheme: "light" });
const validator = new HtmlValidate({ extends: ["html-validate:recommended"] });
const valid = async (name, text) => {
  const report = await validator.validateString(text);
  const faults = report.results.flatMap((result) => result.messages.map((message) => `${message.line}: ${message.ruleId}: ${message.message}`));
  check(`valid HTML: ${name}`, report.valid, faults.slice(0, 10));
};
await valid("the file", readFileSync(join(here, "../../crates/runner/page/front/page.html"), "utf8"));
// A browser writes attributes its own way; what matters is how elements are nested and named.
const dom = new HtmlValidate({ extends: ["html-validate:standard"], rules: { "no-inline-style": "off" } });
const live = await dom.validateString(`<!DOCTYPE html>\n${await page.evaluate(() => document.documentElement.outerHTML)}`);
const broken = live.results.flatMap((result) => result.messages.filter((message) => message.severity === 2).map((message) => `${message.ruleId}: ${message.message}`));
check("valid HTML: the page as it stands", broken.length === 0, [...new Set(broken)].slice(0, 10));

// --- Save, and the same numbers from the command line ---------------------------------------------------------------------------
const shown = { saved: await cell(page, "saved_kwh", "b"), load: await cell(page, "load_kwh", "b") };
await page.locator("#file").fill("../outside.toml");
await page.locator("#save").click();
await page.waitForFunction(() => document.getElementById("kept").innerText.startsWith("Not written"));
await page.locator("#file").fill("table.toml");
await page.locator("#save").click();
await page.waitForFunction(() => document.getElementById("kept").innerText.startsWith("Saved as table.toml"));
await page.locator("#report").click();
await page.waitForFunction(() => document.getElementById("kept").innerText.startsWith("Written: table-results/report.html"));
check("the job file is there", existsSync(join(folder, "table.toml")));
const written = JSON.parse(readFileSync(join(folder, "table-results/summary.json"), "utf8")).annual;
const report = readFileSync(join(folder, "table-results/report.html"), "utf8");
check("page, JSON and report have the same number", Math.round(written.saved_kwh) === number(shown.saved) && report.includes(shown.saved) && report.includes(shown.load), [written.saved_kwh, shown]);
execFileSync(program, ["run", "table.toml", "--out", "again"], { cwd: folder });
const again = JSON.parse(readFileSync(join(folder, "again/summary.json"), "utf8")).annual;
check("suncask run of the saved file has them too", JSON.stringify(again) === JSON.stringify(written));

// --- Reload ---------------------------------------------------------------------------------------------------------------------
const strip = await page.locator("#strip").innerText();
await page.reload();
await page.waitForFunction((text) => document.getElementById("strip").innerText === text, strip);
check("a reload keeps the table", (await cell(page, "saved_kwh", "b")) === shown.saved && (await page.locator("#control-collectors").inputValue()) === "3");
await page.context().close();

// --- The keyboard alone ------------------------------------------------------------------------------------------------------------
page = await visit({ ...wide, reducedMotion: "reduce" });
const focused = () => page.evaluate(() => document.activeElement?.id || document.activeElement?.tagName);
const tabTo = async (id) => {
  for (let i = 0; i < 120; i += 1) {
    await page.keyboard.press("Tab");
    if ((await focused()) === id) {
      return true;
    }
  }
  return false;
};
await page.keyboard.press("Tab");
check("the first stop skips to the results", (await page.evaluate(() => document.activeElement.className)) === "skip");
check("the keyboard reaches a slider", await tabTo("control-tilt"));
const outline = await page.evaluate(() => getComputedStyle(document.activeElement).outlineStyle);
check("where it stands can be seen", outline !== "none", outline);
const before = await cell(page, "saved_kwh", "a");
await acting(page, async () => {
  for (let i = 0; i < 12; i += 1) {
    await page.keyboard.press("ArrowRight");
  }
});
await page.waitForFunction((text) => document.querySelector('#figures tr[data-key="saved_kwh"] td.a').innerText !== text, before);
check("arrows move the year", (await page.locator("#control-tilt").getAttribute("aria-valuetext")) === "39\u00b0", await page.locator("#control-tilt").getAttribute("aria-valuetext"));
check("focus stays on the slider", (await focused()) === "control-tilt");
await page.waitForFunction(() => /saves [\d,]+ kWh/.test(document.getElementById("spoken").innerText));
check("the change is said to screen readers", true);
const names = await page.locator("input, select, button, output").evaluateAll((all) => all.filter((one) => one.offsetParent !== null && one.tagName !== "OUTPUT" && !(one.labels?.length || one.textContent.trim() || one.getAttribute("aria-label"))).map((one) => one.id));
check("every control has a name", names.length === 0, names);
check("the keyboard reaches the day", await tabTo("minute"));
await page.keyboard.press("ArrowLeft");
check("and saves", await tabTo("file"));
await page.keyboard.press("ControlOrMeta+a");
await page.keyboard.type("keys.toml");
await page.keyboard.press("Enter");
await page.waitForFunction(() => document.getElementById("kept").innerText.startsWith("Saved as keys.toml"));
check("Enter writes the file", existsSync(join(folder, "keys.toml")));
await page.context().close();

// --- A phone -----------------------------------------------------------------------------------------------------------------------
for (const colorScheme of ["light", "dark"]) {
  page = await visit({ viewport: { width: 390, height: 844 }, colorScheme, hasTouch: true, isMobile: true });
  await acting(page, () => page.locator("#second").click());
  await page.locator("#control-limit").scrollIntoViewIfNeeded();
  await slide(page, "limit", 180);
  const sideways = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  check(`no sideways scroll at phone width, ${colorScheme}`, sideways <= 0, sideways);
  const seen = await page.locator("#strip").boundingBox();
  check("what it saves stays in sight at the controls", seen.y >= -1 && seen.y < 844, seen);
  await clean(`phone, ${colorScheme}`, page);
  await shot(page, `phone-${colorScheme}`);
  await page.context().close();
}

// --- Without the key, and after the end ---------------------------------------------------------------------------------------
const stranger = await (await chromium.newContext(wide)).newPage();
await stranger.goto(origin);
await stranger.waitForFunction(() => !document.getElementById("trouble").hidden);
check("without its key the page shows no house", (await stranger.locator("#trouble").innerText()).includes("open the address that suncask page printed") && !(await stranger.locator("#main").isVisible()));
check("nothing on the console, no script at fault, no request to elsewhere", found.length === 0, found);
await chromium.close();
check("Ctrl-C ends the server", (await server.end()) === 0);
console.log("The page's journey is done.");
