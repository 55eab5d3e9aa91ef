// The plant through a day: the drawing is filled from the day's trace while one scrubs.

import { element, grouped } from "/script/controls.js";
import { sheets } from "/script/figures.js";

// From cold to hot: each step is darker than the one before, so that gray print and color-blind eyes read it too.
const RAMP = [
  [0, [223, 235, 245]],
  [0.35, [249, 217, 138]],
  [0.65, [231, 139, 52]],
  [1, [140, 38, 12]],
];
// In degC: the ends of the ramp.
const COLD_C = 5;
const HOT_C = 90;

export function color(level, sign) {
  const celsius = sign.includes("F") ? (level - 32) / 1.8 : level;
  const share = Math.min(1, Math.max(0, (celsius - COLD_C) / (HOT_C - COLD_C)));
  const above = RAMP.findIndex(([at]) => at >= share);
  const [high, to] = RAMP[above];
  const [low, from] = RAMP[Math.max(0, above - 1)];
  const between = high > low ? (share - low) / (high - low) : 0;
  const mixed = from.map((value, i) => Math.round(value + between * (to[i] - value)));
  return `rgb(${mixed.join(" ")})`;
}

export function clock(minute, units) {
  const hour = Math.floor(minute / 60) % 24;
  const rest = String(minute % 60).padStart(2, "0");
  return units === "us" ? `${((hour + 11) % 12) + 1}:${rest} ${hour < 12 ? "am" : "pm"}` : `${Math.floor(minute / 60)}:${rest}`;
}

// The point of a day that is reached at a minute.
function pointAt(day, minute) {
  const found = day.minutes.findIndex((at) => at >= minute);
  return found < 0 ? day.minutes.length - 1 : found;
}

const last = (list) => list[list.length - 1];

// A temperature between two points of a day; null where there is no such place.
function between(day, line, at, minute) {
  const level = line?.[at];
  const before = line?.[at - 1];
  if (level === null || level === undefined || before === null || before === undefined) {
    return level ?? null;
  }
  const share = (minute - day.minutes[at - 1]) / (day.minutes[at] - day.minutes[at - 1]);
  return before + Math.min(1, Math.max(0, share)) * (level - before);
}

// What can be read off at a point: name and words, in the order of the table.
function readings(day, at, minute) {
  const level = (line) => {
    const value = between(day, line, at, minute);
    return value === null ? null : `${grouped(value, 0)} ${day.sign}`;
  };
  const [first, second] = day.tanks;
  const rows = [
    ["Sun on the collectors", `${grouped(day.plane_w_m2[at], 0)} W/m\u00b2`],
    ["Outdoor air", level(day.air)],
    ["Collector outlet", level(day.collector)],
    ["Collectors of the second plane", level(day.second_collector)],
    ["Supply pipe", level(day.supply)],
    ["Return pipe", level(day.return)],
    ["Pump", day.pump.length > 0 ? (day.pump[at] > 0 ? `runs ${grouped(100 * day.pump[at], 0)} % of the time` : "stands") : null],
    ["Tank top", first ? level(last(first)) : null],
    ["Controller\u2019s tank sensor", level(day.sensor)],
    ["Tank bottom", first ? level(first[0]) : null],
    ["Second tank top", second ? level(last(second)) : null],
    ["Second tank bottom", second ? level(second[0]) : null],
    ["Heat into the tank", `${grouped(day.heat_into_tank_w[at], 0)} W`],
    ["Backup heat", `${grouped(day.backup_w[at], 0)} W`],
    ["Water at the taps", `${grouped(day.tap[at], 2)} ${day.tap_unit}`],
  ];
  return rows.filter(([, words]) => words !== null);
}

// Fills the drawing of a plant with one point of its day.
function fill(svg, day, at, minute) {
  const level = (line) => between(day, line, at, minute);
  const paint = (selector, attribute, value) => {
    for (const shape of svg.querySelectorAll(selector)) {
      shape.style.setProperty(attribute, value === null ? "" : color(value, day.sign));
    }
  };
  const write = (name, line) => {
    const value = level(line);
    for (const place of svg.querySelectorAll(`[data-reading="${name}"]`)) {
      place.textContent = value === null ? "" : `${grouped(value, 0)} ${day.sign}`;
    }
  };
  paint('[data-collector="1"]', "fill", level(day.collector));
  paint('[data-collector="2"]', "fill", level(day.second_collector));
  paint('[data-pipe="supply"]', "stroke", level(day.supply));
  paint('[data-pipe="return"]', "stroke", level(day.return));
  day.tanks.forEach((slices, tank) => {
    slices.forEach((line, slice) => paint(`[data-tank="${tank + 1}"][data-slice="${slice + 1}"]`, "fill", level(line)));
    write(`tank-${tank + 1}-top`, last(slices));
    write(`tank-${tank + 1}-bottom`, slices[0]);
  });
  write("collector", day.collector);
  write("collector-2", day.second_collector);
  for (const disc of svg.querySelectorAll('[data-pump="loop"]')) {
    disc.style.setProperty("fill", day.pump[at] > 0 ? "#f2b134" : "");
  }
  // Which of several elements heats is not in the trace: only a single one lights up.
  const elements = svg.querySelectorAll("[data-element]");
  for (const one of elements) {
    one.style.setProperty("fill", elements.length === 1 && day.backup_w[at] <= 0 ? "transparent" : "");
  }
}

export class DayView {
  constructor(parts, chosen) {
    Object.assign(this, parts);
    this.chosen = chosen;
    this.svgs = {};
    this.minute.addEventListener("input", () => this.scrub());
  }

  // Takes the drawing and the day of a variant.
  take(side, answer) {
    this.svgs[side] = sheets(this.drawings, side, answer?.drawing, "System drawing");
  }

  show(sides, units) {
    this.sides = sides;
    this.units = units;
    const ends = units === "us" ? ["41 °F", "194 °F"] : ["5 °C", "90 °C"];
    const keys = [0, 0.2, 0.4, 0.6, 0.8, 1].map((share) => {
      const key = element("span", { className: "key" });
      key.style.background = color(COLD_C + share * (HOT_C - COLD_C), "C");
      return key;
    });
    this.scale.replaceChildren(`${ends[0]} `, ...keys, ` ${ends[1]}: the darker, the hotter. A pump that runs is filled.`);
    this.scrub();
  }

  scrub() {
    const minute = Number(this.minute.value);
    const time = clock(minute, this.units);
    this.clock.textContent = time;
    const days = ["a", "b"].map((side) => this.sides?.[side]?.answer?.day);
    const tables = days.map((day, i) => {
      if (!day) {
        return new Map();
      }
      const at = pointAt(day, minute);
      const svg = this.svgs[["a", "b"][i]];
      if (svg) {
        fill(svg, day, at, minute);
      }
      return new Map(readings(day, at, minute));
    });
    const names = [...new Set(tables.flatMap((table) => [...table.keys()]))];
    this.body.replaceChildren(
      ...names.map((name) =>
        element(
          "tr",
          {},
          element("th", { scope: "row", textContent: name }),
          element("td", { className: "a", textContent: tables[0].get(name) ?? "" }),
          element("td", { className: "b", textContent: tables[1].get(name) ?? "" }),
        ),
      ),
    );
    const top = tables[0].get("Tank top");
    this.minute.setAttribute("aria-valuetext", top ? `${time}, tank top ${top}` : time);
  }
}
