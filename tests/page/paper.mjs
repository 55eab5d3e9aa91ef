// Checks every page of results folders in a browser, at a desk, on a phone and on paper.
//
//   node tests/page/paper.mjs FOLDER...
//   SUNCASK=suncask node tests/page/paper.mjs      makes its own: houses of several kinds, a range, and every study
//
// Each *.html must be valid, pass axe-core, say nothing on the console, ask for nothing from elsewhere, not scroll sideways on a
// phone of 390 px, and keep its first sheet on one page of Letter and of A4. SUNCASK_BROWSER names the browser, else chromium.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { FileSystemConfigLoader, HtmlValidate } from 'html-validate';
import { chromium } from 'playwright-core';

const axe = readFileSync(new URL(import.meta.resolve('axe-core/axe.min.js')), 'utf8');
const papers = ['Letter', 'A4'];

// Rules of taste are off: the page is generated, and SVG comes from a drawing library that gives fonts as attributes.
const validator = new HtmlValidate(new FileSystemConfigLoader({
  root: true,
  extends: ['html-validate:standard', 'html-validate:a11y'],
  rules: { 'long-title': 'off', 'no-inline-style': 'off', 'doctype-style': 'off', 'attr-quotes': 'off' },
}));

function pagesOf(folders) {
  return folders.flatMap((folder) => readdirSync(folder).filter((name) => name.endsWith('.html')).map((name) => join(folder, name)));
}

// Sheets of a PDF: chromium writes each as an object of its own.
const sheets = (pdf) => (pdf.toString('latin1').match(/\/Type\s*\/Page\b/g) ?? []).length;

async function check(browser, path) {
  const faults = [];
  const validity = await validator.validateFile(path);
  for (const message of validity.results.flatMap((result) => result.messages)) {
    faults.push(`html ${message.line}:${message.column} ${message.ruleId}: ${message.message}`);
  }
  const page = await browser.newPage({ viewport: { width: 1100, height: 900 } });
  page.on('console', (message) => faults.push(`console: ${message.text()}`));
  page.on('pageerror', (error) => faults.push(`script: ${error}`));
  page.on('request', (request) => {
    if (!request.url().startsWith('file:')) faults.push(`asks for ${request.url()}`);
  });
  const address = pathToFileURL(resolve(path)).href;
  for (const width of [1100, 390]) {
    await page.setViewportSize({ width, height: 900 });
    await page.goto(address);
    const { wider, unnamed } = await page.evaluate(() => ({
      wider: document.documentElement.scrollWidth - document.documentElement.clientWidth,
      unnamed: [...document.querySelectorAll('svg')].filter((svg) => !/\d/.test(svg.querySelector('desc')?.textContent ?? '')).length,
    }));
    if (wider > 0) faults.push(`scrolls sideways by ${wider} px at ${width} px`);
    if (unnamed > 0) faults.push(`${unnamed} pictures have no figure in their text alternative`);
    await page.evaluate(axe);
    const found = await page.evaluate(() => globalThis.axe.run(document));
    for (const { id, nodes } of found.violations) {
      faults.push(`axe at ${width} px: ${id}: ${nodes.slice(0, 3).map((node) => node.target.join(' ')).join('; ')}`);
    }
  }
  const told = [];
  for (const format of papers) {
    const whole = sheets(await page.pdf({ format }));
    const style = await page.addStyleTag({ content: '@media print { main > :not(.first) { display: none; } .first { break-after: auto !important; } }' });
    const first = sheets(await page.pdf({ format }));
    await style.evaluate((node) => node.remove());
    told.push(`${format} ${whole} sheets`);
    if (first !== 1) faults.push(`the first sheet takes ${first} pages of ${format}`);
  }
  await page.close();
  console.log(`${path}: ${told.join(', ')}${faults.length ? '' : ', no faults'}`);
  faults.forEach((fault) => console.log(`  ${fault}`));
  return faults.length;
}

// Results folders of houses of several kinds and of every study, in a folder that goes away.
function made(place) {
  const program = resolve(process.env.SUNCASK);
  const suncask = (...words) => execFileSync(program, words, { cwd: place, stdio: ['ignore', 'ignore', 'inherit'] });
  for (const kind of ['one-tank', 'gas', 'two-tank', 'drainback', 'thermosiphon', 'batch']) {
    suncask('new', `${kind}.toml`, '--like', kind);
    suncask('run', `${kind}.toml`);
  }
  suncask('run', 'one-tank.toml', '--range', '--units', 'si', '--out', 'range');
  suncask('size', 'one-tank.toml');
  suncask('tune', 'one-tank.toml');
  suncask('compare', 'one-tank.toml', '--layouts');
  return readdirSync(place, { withFileTypes: true }).filter((entry) => entry.isDirectory()).map((entry) => join(place, entry.name));
}

const named = process.argv.slice(2);
const place = named.length === 0 && process.env.SUNCASK ? mkdtempSync(join(tmpdir(), 'suncask-pages-')) : null;
const pages = pagesOf(place ? made(place) : named);
if (pages.length === 0) {
  console.error('no page to check: name results folders');
  process.exit(2);
}
const browser = await chromium.launch({
  executablePath: process.env.SUNCASK_BROWSER || '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
let faults = 0;
try {
  for (const path of pages) faults += await check(browser, path);
} finally {
  await browser.close();
  if (place) rmSync(place, { recursive: true });
}
process.exit(faults === 0 ? 0 : 1);
