// The page: holds the table (variants, units, day), asks for years, and shows what comes back.

import { Refused, Runner, ask } from "/script/ask.js";
import { Controls, element } from "/script/controls.js";
import { DayView } from "/script/day.js";
import { inShort, showCautions, showFigures, showMeanings, showPictures, showStrip } from "/script/figures.js";
import { keeping, remember, remembered } from "/script/keep.js";

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const LENGTHS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
const by = (id) => document.getElementById(id);
const page = crypto.getRandomValues(new Uint32Array(2)).join("-");

let house;
// What the table holds: variants by side, which one the controls move, units, the day.
const table = { units: "us", editing: "a", day: 1, sides: { a: { other_layout: false, moved: {} }, b: null } };
// What came back for each side.
const results = { a: null, b: null };
const undo = [];

const copy = (value) => JSON.parse(JSON.stringify(value));
const two = () => table.sides.b !== null;
const variant = () => table.sides[table.editing];

const controls = new Controls(by("controls"), move);
const dayView = new DayView({
  minute: by("minute"), clock: by("clock"), drawings: by("drawings"), scale: by("heat-scale"),
  body: by("readings").tBodies[0],
});

const runner = (side) => new Runner((answer, wish) => take(side, answer, wish), (fault) => trouble(fault));
const runners = { a: runner("a"), b: runner("b") };

function trouble(fault) {
  by("trouble").textContent = fault instanceof Refused
    ? `${fault.message}.`
    : "suncask page does not answer any more: it was ended, or this machine slept. Start it again and open the address it prints.";
  by("trouble").hidden = false;
}

// `since`: when the person moved something, for the time from there to the picture.
function want(side, since = performance.now()) {
  const { other_layout, moved } = table.sides[side];
  runners[side].want({ since, body: { page, side, units: table.units, day: table.day, variant: { other_layout, moved } } });
}

function wantAll() {
  want("a");
  if (two()) {
    want("b");
  }
}

function move(id, words, event) {
  // One drag of a slider is one step back.
  const latest = undo[undo.length - 1];
  if (!(latest && latest.id === id && latest.side === table.editing && performance.now() - latest.at < 1500)) {
    undo.push({ id, side: table.editing, sides: copy(table.sides) });
  }
  undo[undo.length - 1].at = performance.now();
  const side = variant();
  if (id === "layout") {
    side.other_layout = words;
    // What cannot be moved in the new layout stays behind.
    const known = house.layouts[words ? 1 : 0].controls.map((control) => control.id);
    side.moved = Object.fromEntries(Object.entries(side.moved).filter(([name]) => known.includes(name)));
    build();
  } else if (words === null) {
    delete side.moved[id];
  } else {
    side.moved[id] = words;
  }
  settled();
  want(table.editing, event?.timeStamp ?? performance.now());
}

// The controls as the table has them.
function settled() {
  const side = variant();
  controls.sync(side.moved, results[table.editing]?.answer?.stands);
  by("undo").disabled = undo.length === 0;
  by("reset").disabled = Object.keys(side.moved).length === 0 && !side.other_layout;
  remember(table);
}

function build() {
  controls.build(house.layouts, variant().other_layout ? 1 : 0, table.units);
}

function take(side, answer, wish) {
  by("trouble").hidden = true;
  if (side === "b" && !two()) {
    return;
  }
  const ran = answer.figures !== undefined;
  const before = results[side];
  results[side] = ran ? { answer, said: answer.said, old: false } : { answer: before?.answer, said: answer.said, old: true };
  if (ran) {
    showPictures(by("pictures"), side, answer);
    dayView.take(side, answer);
  }
  show(side);
  // Behind the next frame the figures are on the screen.
  requestAnimationFrame(() => setTimeout(() => {
    performance.measure("suncask-turn", { start: wish.since, end: performance.now(), detail: answer.took_ms });
    document.body.dataset.turns = String(Number(document.body.dataset.turns ?? 0) + 1);
  }));
  if (ran) {
    speak(`${two() ? `Variant ${side.toUpperCase()}` : "It"} ${inShort(answer)}`);
  } else {
    speak("This setting cannot be run; the figures are the old ones.");
  }
}

function show(side) {
  document.body.classList.toggle("two", two());
  document.body.classList.toggle("single", !two());
  showFigures(by("figures").tBodies[0], results);
  showStrip(by("strip"), results, two());
  showMeanings(by("meanings"), results);
  showCautions(by("cautions"), results, two());
  dayView.show(results, table.units);
  const old = ["a", "b"].filter((name) => results[name]?.old);
  by("old").hidden = old.length === 0;
  by("old").textContent = `Old figures of variant ${old.join(" and ").toUpperCase()}: a setting cannot be run. It is marked at the controls.`;
  if (side === table.editing) {
    tellFaults();
  }
  settled();
}

// Faults and doubts beside the controls; what belongs to none stands above them, and doubts that are not faults below.
function tellFaults() {
  const rest = controls.tell(results[table.editing]?.said ?? []);
  const text = (fault) => (fault.help ? `${fault.message} (${fault.help})` : fault.message);
  by("faults").replaceChildren(...rest.filter((fault) => fault.error).map((fault) => element("li", { textContent: text(fault) })));
  const doubts = rest.filter((fault) => !fault.error);
  by("doubts").replaceChildren(
    ...(doubts.length > 0 ? [element("h3", { textContent: "Notes on the job" }), element("ul", {}, ...doubts.map((fault) => element("li", { textContent: text(fault) })))] : []),
  );
}

let speaking;
// Said once the hand rests: a slider on its way would talk without end.
function speak(words) {
  clearTimeout(speaking);
  speaking = setTimeout(() => {
    by("spoken").textContent = words;
  }, 700);
}

function setSides() {
  by("sides").hidden = !two();
  by("second").hidden = two();
  by("single").hidden = !two();
  if (!two()) {
    table.editing = "a";
    results.b = null;
    showPictures(by("pictures"), "b", null);
    dayView.take("b", null);
  }
  by("sides").querySelector(`[value="${table.editing}"]`).checked = true;
}

function dayNumber(month, date) {
  return LENGTHS.slice(0, month).reduce((sum, length) => sum + length, 0) + date;
}

// Day and its fields say the same.
function setDay(number) {
  table.day = number;
  let month = 0;
  let date = number;
  while (date > LENGTHS[month]) {
    date -= LENGTHS[month];
    month += 1;
  }
  by("day-date").value = date;
  by("day-date").max = LENGTHS[month];
  by("day-month").value = month;
  by("day-word").value = house.days.some((day) => day.number === number) ? number : "";
}

function listen() {
  by("units").addEventListener("change", (event) => {
    const old = table.units;
    table.units = event.target.value;
    if (old !== table.units) {
      build();
      settled();
      wantAll();
    }
  });
  by("sides").addEventListener("change", (event) => {
    table.editing = event.target.value;
    build();
    settled();
    tellFaults();
  });
  by("second").addEventListener("click", () => {
    undo.push({ id: "second", side: table.editing, sides: copy(table.sides), at: 0 });
    table.sides.b = copy(table.sides.a);
    table.editing = "b";
    setSides();
    build();
    settled();
    want("b");
    by("sides").querySelector('[value="b"]').focus();
  });
  by("single").addEventListener("click", () => {
    undo.push({ id: "single", side: table.editing, sides: copy(table.sides), at: 0 });
    table.sides.b = null;
    setSides();
    build();
    show("a");
    by("second").focus();
  });
  by("undo").addEventListener("click", () => {
    const step = undo.pop();
    table.sides = step.sides;
    table.editing = step.side;
    setSides();
    build();
    settled();
    wantAll();
  });
  by("reset").addEventListener("click", () => {
    undo.push({ id: "reset", side: table.editing, sides: copy(table.sides), at: 0 });
    table.sides[table.editing] = { other_layout: false, moved: {} };
    build();
    settled();
    want(table.editing);
  });
  const chosen = (number) => {
    setDay(number);
    remember(table);
    wantAll();
  };
  by("day-word").addEventListener("change", (event) => event.target.value && chosen(Number(event.target.value)));
  const date = () => {
    const month = Number(by("day-month").value);
    const day = Math.min(LENGTHS[month], Math.max(1, Math.round(Number(by("day-date").value)) || 1));
    chosen(dayNumber(month, day));
  };
  by("day-date").addEventListener("change", date);
  by("day-month").addEventListener("change", date);
  keeping({
    form: by("keep"), file: by("file"), report: by("report"), told: by("kept"),
    body: () => ({ variant: copy(variant()), units: table.units }),
  });
}

async function open() {
  try {
    house = await ask("/house", {});
  } catch (fault) {
    by("about").textContent = "";
    trouble(fault);
    return;
  }
  document.title = `${house.name} – suncask`;
  by("name").textContent = house.name;
  by("about").textContent = `One typical year of ${house.place} (${house.weather}). Move a setting and the whole year runs again.`;
  by("made").hidden = !house.made_weather;
  by("weather-doubts").hidden = house.doubts.length === 0;
  by("weather-doubts").querySelector("ul").replaceChildren(...house.doubts.map((textContent) => element("li", { textContent })));
  by("confirm").textContent = house.confirm;
  by("foot").textContent = `suncask ${house.version}. An estimate, not a guarantee. Everything on this page comes from this machine.`;
  by("file").value = house.suggested;
  by("where").textContent = `in ${house.folder}`;
  by("day-word").append(
    element("option", { value: "", textContent: "a date" }),
    ...house.days.map(({ words, number }) => element("option", { value: number, textContent: words.toLowerCase() })),
  );
  by("day-month").append(...MONTHS.map((name, month) => element("option", { value: month, textContent: name })));
  table.day = house.days[0].number;
  const kept = remembered();
  if (kept) {
    Object.assign(table, kept);
  }
  setDay(table.day);
  by("units").querySelector(`[value="${table.units}"]`).checked = true;
  by("main").hidden = false;
  setSides();
  build();
  listen();
  settled();
  document.body.classList.add(two() ? "two" : "single");
  wantAll();
}

open();
