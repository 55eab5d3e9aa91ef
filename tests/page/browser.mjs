// What the browser checks share: a suncask page that is served, a browser, and a list of what went wrong.

import { spawn } from "node:child_process";
import { existsSync, mkdirSync } from "node:fs";
import { createRequire } from "node:module";
import { join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const root = resolve(fileURLToPath(import.meta.url), "../../..");

// The program to look at: SUNCASK, or the debug build.
export const program = process.env.SUNCASK ?? join(root, "target/debug/suncask");

// Screenshots for a person to look at go there, if SHOTS names a folder.
export async function shot(page, name) {
  if (process.env.SHOTS) {
    mkdirSync(process.env.SHOTS, { recursive: true });
    await page.screenshot({ path: join(process.env.SHOTS, `${name}.png`), fullPage: true });
  }
}

// An installed browser: CHROMIUM, or where Debian and others put it.
export async function browser() {
  const places = [process.env.CHROMIUM, "/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
  const executablePath = places.find((place) => place && existsSync(place));
  if (!executablePath) {
    console.error("There is no browser: install chromium, or name one in CHROMIUM. The pages were NOT checked.");
    process.exit(1);
  }
  return chromium.launch({
    executablePath,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
      "--disable-component-update", "--disable-sync"],
  });
}

// `suncask page` in a folder: its address, and how to end it.
export async function serve(folder, ...names) {
  if (!existsSync(program)) {
    console.error(`${program} is not there: build suncask, or name the program in SUNCASK. The pages were NOT checked.`);
    process.exit(1);
  }
  const server = spawn(program, ["page", ...names], { cwd: folder, stdio: ["ignore", "pipe", "inherit"] });
  const address = await new Promise((done, failed) => {
    let told = "";
    server.stdout.on("data", (data) => {
      told += data;
      const found = told.match(/http:\S+/);
      if (found) {
        done(found[0]);
      }
    });
    server.on("exit", (code) => failed(new Error(`suncask page ended with ${code}`)));
  });
  const ended = new Promise((done) => server.on("exit", done));
  // A check that fails ends this process: the server goes with it.
  process.on("exit", () => server.kill());
  return {
    address,
    end: () => {
      server.kill("SIGINT");
      return ended;
    },
  };
}

// Everything a page says on its console, every fault of its scripts, every request to anywhere but its own server.
export function watched(page, origin, found) {
  page.on("console", (message) => found.push(`console ${message.type()}: ${message.text()}`));
  page.on("pageerror", (fault) => found.push(`fault of a script: ${fault.message}`));
  page.on("requestfailed", (request) => {
    // A year that is overtaken is given up.
    if (request.failure()?.errorText !== "net::ERR_ABORTED") {
      found.push(`request failed: ${request.url()} ${request.failure()?.errorText}`);
    }
  });
  page.on("request", (request) => {
    if (!request.url().startsWith(origin)) {
      found.push(`request to elsewhere: ${request.url()}`);
    }
  });
}

const axeText = createRequire(import.meta.url).resolve("axe-core/axe.min.js");

// Violations of the accessibility rules of axe-core on the page as it stands, with where.
export async function violations(page) {
  // The page allows no foreign script, so that the rules come in from the debugger's side.
  const { readFileSync } = await import("node:fs");
  await page.evaluate(readFileSync(axeText, "utf8"));
  const result = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
  return result.violations.map((rule) => `${rule.id}: ${rule.help} at ${rule.nodes.map((node) => node.target.join(" ")).join(", ")}`);
}

// Checks are told one by one; the first that fails ends the run with its words.
export function check(words, holds, detail = "") {
  if (!holds) {
    console.error(`FAILED: ${words} ${typeof detail === "string" ? detail : JSON.stringify(detail)}`);
    process.exit(1);
  }
  console.log(`ok: ${words}`);
}
