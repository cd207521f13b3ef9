/** Keys on the screen, large enough for gloves, for the field that has the focus. */

import { h } from "./element.js";

const KEYS = ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "⌫"];

export class Pad {
  /** @param {(isOn: boolean) => void} onturn */
  constructor(onturn) {
    this.onturn = onturn;
    this.isOn = false;
    this.target = null;
    const keys = KEYS.map((key) => h("button.button.key", { type: "button", tabindex: "-1", "aria-label": key === "⌫" ? "Delete" : key, onpointerdown: (event) => { event.preventDefault(); this.press(key); } }, key));
    const enter = h("button.button.key.primary.enter", { type: "button", tabindex: "-1", onpointerdown: (event) => { event.preventDefault(); this.press("Enter"); } }, "Enter");
    this.element = h("div.pad", { role: "group", "aria-label": "Keys", hidden: true }, h("div.keys", null, keys), enter);
    document.addEventListener("focusin", (event) => this.follow(event.target));
  }

  turn(isOn) {
    this.isOn = isOn;
    this.onturn(isOn);
    this.follow(document.activeElement);
  }

  /** A button that is touched must not move under the finger, so that the keys stay for it. */
  follow(target) {
    if (this.isOn && target instanceof HTMLButtonElement) return;
    const isNumeric = target instanceof HTMLInputElement && ["numeric", "decimal", "none"].includes(target.getAttribute("inputmode") ?? "");
    this.element.hidden = !(this.isOn && isNumeric);
    document.body.classList.toggle("with-pad", !this.element.hidden);
    if (!isNumeric) return;
    this.target = target;
    target.dataset.mode ??= target.getAttribute("inputmode");
    target.setAttribute("inputmode", this.isOn ? "none" : target.dataset.mode);
  }

  press(key) {
    const { target } = this;
    if (!target?.isConnected) return;
    if (key === "Enter") {
      target.form?.requestSubmit();
      return;
    }
    target.value = key === "⌫" ? target.value.slice(0, -1) : target.value + key;
    target.dispatchEvent(new Event("input", { bubbles: true }));
  }
}
