// The controls: sliders and choices, built from what the server says can be moved in a layout.

export function element(name, properties = {}, ...children) {
  const made = document.createElement(name);
  for (const [property, value] of Object.entries(properties)) {
    if (property in made && property !== "form") {
      made[property] = value;
    } else {
      made.setAttribute(property, value);
    }
  }
  made.append(...children.filter((child) => child !== null));
  return made;
}

const POINTS = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];

export function grouped(number, decimals) {
  const text = Math.abs(number).toFixed(decimals);
  const [whole, rest] = text.split(".");
  const commas = whole.replace(/\B(?=(\d{3})+$)/g, ",");
  const sign = number < 0 && /[1-9]/.test(text) ? "\u2212" : "";
  return sign + commas + (rest ? `.${rest}` : "");
}

// How many decimals a step has.
function decimals(step) {
  const text = String(step);
  return text.includes(".") ? text.split(".")[1].length : 0;
}

function reading(control, scale, number) {
  const places = decimals(scale.step);
  const near = Math.abs(number * 10 ** places - Math.round(number * 10 ** places)) < 1e-6;
  const text = `${scale.shown_before}${grouped(number, near ? places : Math.max(places, 1))}${scale.shown_behind}`;
  return control.id === "azimuth" ? `${text} ${POINTS[Math.round(number / 45) % 8]}` : text;
}

// The form of one layout. `moved(id, words or null)` hears of each move; null is the job's own value.
export class Controls {
  constructor(form, moved) {
    this.form = form;
    this.moved = moved;
    this.parts = new Map();
  }

  build(layouts, at, units) {
    const scale = units === "us" ? 0 : 1;
    this.parts.clear();
    this.form.replaceChildren();
    const groups = new Map();
    const group = (name) => {
      if (!groups.has(name)) {
        groups.set(name, element("fieldset", {}, element("legend", { textContent: name })));
        this.form.append(groups.get(name));
      }
      return groups.get(name);
    };
    for (const control of layouts[at].controls) {
      if (control.group === "Tank and layout" && layouts.length > 1) {
        group(control.group).append(this.layouts(layouts, at));
      }
      group(control.group).append(control.range ? this.slider(control, control.range[scale], scale) : this.choice(control));
    }
    if (layouts.length > 1 && !groups.has("Tank and layout")) {
      group("Tank and layout").append(this.layouts(layouts, at));
    }
  }

  layouts(layouts, at) {
    const radios = layouts.map((layout, index) => {
      const radio = element("input", { type: "radio", name: "layout", value: String(index), checked: index === at });
      radio.addEventListener("change", (event) => this.moved("layout", index === 1, event));
      return element("label", {}, radio, ` ${layout.words}${index === 0 ? " (as the job)" : ""}`);
    });
    return element("div", { className: "layouts", role: "radiogroup", ariaLabel: "Layout" }, ...radios);
  }

  // The lines under a control: what the job says, the way back to it, and what is wrong.
  frame(control, input, output) {
    const back = element("button", { type: "button", textContent: "back", hidden: true });
    back.setAttribute("aria-label", `${control.label} back to the job: ${control.said}`);
    back.addEventListener("click", (event) => {
      this.moved(control.id, null, event);
      input.focus();
    });
    const said = element("span", { className: "small", id: `said-${control.id}` });
    said.textContent = `Job: ${control.said}. ${control.help}`;
    const fault = element("p", { className: "fault", id: `fault-${control.id}`, hidden: true });
    input.setAttribute("aria-describedby", `said-${control.id} fault-${control.id}`);
    const label = element("label", { htmlFor: input.id, textContent: control.label });
    const whole = element("div", { className: "control" }, label, output, input, element("div", { className: "said" }, said, back), fault);
    return { whole, back, fault };
  }

  slider(control, scale, side) {
    const id = `control-${control.id}`;
    const input = element("input", { type: "range", id, name: control.id });
    Object.assign(input, { min: scale.low, max: scale.high, step: scale.step });
    const output = element("output", {});
    output.setAttribute("for", id);
    const frame = this.frame(control, input, output);
    const show = (number) => {
      const text = number === null ? "not given" : reading(control, scale, number);
      output.textContent = text;
      input.setAttribute("aria-valuetext", text);
    };
    const set = (number) => {
      input.value = number ?? scale.low;
      show(number);
    };
    input.addEventListener("input", (event) => {
      const number = Number(input.value);
      show(number);
      this.moved(control.id, `${scale.before}${Number(number.toFixed(6))}${scale.behind}`, event);
    });
    set(scale.value);
    this.parts.set(control.id, { ...frame, input, stand: (stands) => set(stands.values[side]), own: () => set(scale.value) });
    return frame.whole;
  }

  choice(control) {
    const own = element("option", { value: "", textContent: `as the job: ${control.said}` });
    const words = control.choice.map(({ value, label }) => element("option", { value, textContent: label }));
    const input = element("select", { id: `control-${control.id}`, name: control.id }, own, ...words);
    const frame = this.frame(control, input, null);
    input.addEventListener("change", (event) => this.moved(control.id, input.value || null, event));
    this.parts.set(control.id, { ...frame, input, stand: () => {}, own: () => {}, choice: true });
    return frame.whole;
  }

  // Shows which controls are moved; those that are not stand where the job, or what they follow, has them.
  sync(moved, stands) {
    for (const [id, part] of this.parts) {
      const words = moved[id];
      part.whole.classList.toggle("moved", words !== undefined);
      part.back.hidden = words === undefined;
      const stood = stands?.find((stand) => stand.id === id);
      if (part.choice) {
        part.input.value = words ?? "";
      } else if (document.activeElement !== part.input || words === undefined) {
        stood && stood.values ? part.stand(stood) : part.own();
      }
    }
  }

  // Puts what is wrong beside the control it belongs to, and returns the rest.
  tell(said) {
    for (const part of this.parts.values()) {
      part.fault.hidden = true;
      part.fault.textContent = "";
      part.input.removeAttribute("aria-invalid");
    }
    return said.filter((fault) => {
      const part = this.parts.get(fault.control);
      if (!part) {
        return true;
      }
      const text = fault.help ? `${fault.message} (${fault.help})` : fault.message;
      part.fault.append(part.fault.textContent ? ` ${text}` : text);
      part.fault.hidden = false;
      part.fault.classList.toggle("doubt", !fault.error);
      if (fault.error) {
        part.input.setAttribute("aria-invalid", "true");
      }
      return false;
    });
  }
}
