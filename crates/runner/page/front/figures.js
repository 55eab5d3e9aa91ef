// The results: figures side by side with their difference, pictures, cautions.

import { element, grouped } from "/script/controls.js";

const SIDES = ["a", "b"];

// An SVG as part of the page. It was made by the server, with every name in it escaped.
export function drawn(svg) {
  return document.importNode(new DOMParser().parseFromString(svg, "image/svg+xml").documentElement, true);
}

function difference(a, b) {
  // Answers in different units, while they change, have no difference.
  if (!a || !b || a.value === null || b.value === null || a.change.behind !== b.change.behind) {
    return "";
  }
  const { slope, before, behind } = b.change;
  const change = (b.value - a.value) * slope;
  const text = grouped(Math.abs(change), Math.max(a.change.decimals, b.change.decimals));
  const sign = !/[1-9]/.test(text) ? "" : change > 0 ? "+" : "\u2212";
  return `${sign}${before}${text}${behind}`;
}

export function showFigures(body, sides) {
  const keys = [];
  for (const side of SIDES) {
    for (const figure of sides[side]?.answer?.figures ?? []) {
      if (!keys.includes(figure.key)) {
        keys.push(figure.key);
      }
    }
  }
  const rows = keys.map((key) => {
    const [a, b] = SIDES.map((side) => sides[side]?.answer?.figures.find((figure) => figure.key === key));
    const cell = (figure, side, name) =>
      element("td", { className: `${name}${sides[side]?.old ? " old" : ""}`, textContent: figure?.shown ?? "" });
    const row = element(
      "tr",
      { className: key === "equal_service_saved_kwh" || key === "saved" ? "first" : "" },
      element("th", { scope: "row", textContent: (a ?? b).label }),
      cell(a, "a", "a"),
      cell(b, "b", "b"),
      element("td", { className: "b", textContent: difference(a, b) }),
    );
    row.dataset.key = key;
    return row;
  });
  body.replaceChildren(...rows);
}

export function showMeanings(list, sides) {
  const figures = sides.a?.answer?.figures ?? [];
  list.replaceChildren(
    ...figures.flatMap((figure) => [
      element("dt", { textContent: figure.label }),
      element("dd", { textContent: figure.definition }),
    ]),
  );
}

// What a variant saves, in a few words: as in the report, with cooler water charged to the sun.
export function inShort(answer) {
  const shown = (key) => answer.figures.find((figure) => figure.key === key)?.shown;
  const money = shown("saved");
  const share = shown("equal_service_savings_fraction");
  return `saves ${shown("equal_service_saved_kwh")}${money ? ` and ${money}` : ""} a year, ${share} of what the heater without sun buys`;
}

export function showStrip(strip, sides, two) {
  const parts = SIDES.filter((side) => sides[side]?.answer).map((side) => {
    const words = inShort(sides[side].answer);
    const old = sides[side].old ? " (old)" : "";
    const text = two ? `${side.toUpperCase()} ${words}${old}` : `It ${words}${old}`;
    return element("span", { className: two ? `of-${side}` : "", textContent: text });
  });
  strip.replaceChildren(...parts);
}

// A sheet for each side that has one; what is there already is kept, so that focus and scrolling stay.
export function sheets(pair, side, svg, label) {
  let figure = pair.querySelector(`figure.of-${side}`);
  if (!svg) {
    figure?.remove();
    return null;
  }
  if (!figure) {
    const sheet = element("div", { className: "sheet", tabIndex: 0, role: "group" });
    sheet.setAttribute("aria-label", `${label}, variant ${side.toUpperCase()}`);
    figure = element("figure", { className: `of-${side}` }, element("figcaption", { className: "side", textContent: `Variant ${side.toUpperCase()}` }), sheet);
    side === "a" ? pair.prepend(figure) : pair.append(figure);
  }
  const sheet = figure.querySelector(".sheet");
  sheet.replaceChildren(drawn(svg));
  return sheet.firstElementChild;
}

const LABELS = { months: "Month by month", heat: "Where the heat went", days: "Three days", cash: "Money over the years" };

export function showPictures(place, side, answer) {
  for (const [key, label] of Object.entries(LABELS)) {
    let pair = place.querySelector(`[data-picture="${key}"]`);
    if (!pair) {
      pair = element("div", { className: "pair" });
      pair.dataset.picture = key;
      place.append(pair);
    }
    sheets(pair, side, answer?.pictures.find((picture) => picture.key === key)?.svg, label);
  }
}

export function showCautions(place, sides, two) {
  const lists = SIDES.filter((side) => sides[side]?.answer).map((side) => {
    const items = sides[side].answer.cautions.map(({ hazard, words }) =>
      element("li", {}, element("strong", { textContent: `${hazard}. ` }), words),
    );
    const none = "No reading of this year raised one; a hazard without a reading is not absent.";
    const list = items.length > 0 ? element("ul", {}, ...items) : element("p", { textContent: none });
    return element("div", {}, two ? element("h3", { textContent: `Variant ${side.toUpperCase()}` }) : null, list);
  });
  place.replaceChildren(...lists);
}
