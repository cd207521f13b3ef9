/** Makes elements; text is always text, never markup. */

/**
 * @param {string} tag with classes, as "button.big" @param {Record<string, any> | null} [attributes] onX are listeners
 * @param {...any} children nodes, texts, lists of them; null and false are left out
 * @returns {any}
 */
export function h(tag, attributes = null, ...children) {
  const [name, ...classes] = tag.split(".");
  const made = document.createElement(name);
  if (classes.length) made.className = classes.join(" ");
  for (const [key, value] of Object.entries(attributes ?? {})) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (["value", "checked", "disabled", "selected"].includes(key)) made[key] = value;
    else if (value !== null && value !== false && value !== undefined) made.setAttribute(key, value === true ? "" : value);
  }
  made.append(...children.flat(3).filter((one) => one !== null && one !== false && one !== undefined && one !== ""));
  return made;
}

/** A large button. @param {string} label @param {(event: Event) => void} onclick @param {string} [classes] @param {Record<string, any>} [more] */
export function button(label, onclick, classes = "", more = {}) {
  return h(`button.${["button", ...classes.split(" ").filter(Boolean)].join(".")}`, { type: "button", onclick, ...more }, label);
}

/** A field with its label. @param {string} label @param {HTMLElement} input @param {string} [hint] */
export function field(label, input, hint = "") {
  return h("label.field", null, h("span.label", null, label), input, hint && h("span.hint", null, hint));
}

/** A choice of buttons of which one is pressed, or none. @param {string} label @param {[string, string][]} options @param {string} chosen @param {(value: string) => void} onchoose */
export function choice(label, options, chosen, onchoose) {
  const buttons = options.map(([value, shown]) => button(shown, () => {
    const taken = buttons[options.findIndex(([one]) => one === value)].getAttribute("aria-pressed") === "true" ? "" : value;
    buttons.forEach((one, place) => one.setAttribute("aria-pressed", String(options[place][0] === taken)));
    onchoose(taken);
  }, "choice", { "aria-pressed": String(value === chosen) }));
  return h("div.field", { role: "group", "aria-label": label }, h("span.label", { "aria-hidden": "true" }, label), h("div.choices", null, buttons));
}

/** A button that is on or off. @param {string} label @param {boolean} isOn @param {(isOn: boolean) => void} onturn */
export function toggle(label, isOn, onturn) {
  const made = button(label, () => {
    const turned = made.getAttribute("aria-pressed") !== "true";
    made.setAttribute("aria-pressed", String(turned));
    onturn(turned);
  }, "toggle", { "aria-pressed": String(isOn) });
  return made;
}
