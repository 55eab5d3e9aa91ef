// Saves the job file and writes the report; remembers the table over a reload of the page.

import { Refused, ask, key } from "/script/ask.js";

const PLACE = `suncask-${key}`;

export function remembered() {
  try {
    return JSON.parse(sessionStorage.getItem(PLACE) ?? "null");
  } catch {
    return null;
  }
}

export function remember(table) {
  try {
    sessionStorage.setItem(PLACE, JSON.stringify(table));
  } catch {
    // A browser that keeps nothing only loses the settings on a reload.
  }
}

export function keeping({ form, file, report, told, body }) {
  let writing = false;
  const busy = async (path, done) => {
    if (writing) {
      return;
    }
    writing = true;
    told.textContent = "Writing…";
    try {
      const saved = await ask(path, { file: file.value, ...body() });
      told.textContent = saved.overtaken ? "Not written: a newer request of the same name came first." : done(saved);
    } catch (fault) {
      told.textContent = fault instanceof Refused ? `Not written: ${fault.message}.` : "Not written: suncask page does not answer.";
    }
    writing = false;
  };
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    busy("/save", (saved) => `Saved as ${saved.name} in ${saved.folder}.`);
  });
  report.addEventListener("click", () => busy("/report", (saved) => `Written: ${saved.name} in ${saved.folder}.`));
}
