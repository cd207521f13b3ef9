/** Judges what is entered: soft limits that ask once and refuse nothing, as the record's own do (plausibility). */

const DAY = 86_400_000;
const KG_PER_LB = 0.45359237;
const WEANING_WINDOW_END = 250;
const WEANING_END = 320;
const YEARLING_END = 550;
const BULL_GROWN = 1095;
const GROWN = { cow: [800, 2000], bull: [600, 3000], heifer: [450, 2000], steer: [450, 2500] };
const ANY_AGE = { cow: [800, 2000], bull: [40, 3000], heifer: [40, 2000], steer: [40, 2500], calf: [40, 900] };
// Two weighings of one animal on consecutive days differ by so much from fill alone, in kilograms.
const FILL = [-39, 44];

/** The lightest and heaviest weight in pounds that needs no second look; see herd.values.plausibility. @param {string} kind @param {number | null} age in days */
export function plausiblePounds(kind, age) {
  if (age === null) return ANY_AGE[kind] ?? [40, 3000];
  const days = Math.max(age, 0);
  if (days < WEANING_END) {
    const heaviest = 140 + 4.5 * days;
    return [40 + 0.8 * days, days <= WEANING_WINDOW_END ? Math.min(heaviest, 900) : heaviest];
  }
  if (days < YEARLING_END) return [450, 1600];
  if (kind === "bull" && days >= BULL_GROWN) return [1200, 3000];
  return GROWN[kind] ?? [450, 3000];
}

/** The lowest and highest gain in kilograms a day that needs no second look. @param {string} kind @param {number | null} age @param {number} span in days */
export function plausibleGain(kind, age, span) {
  const isYoung = kind === "calf" || (age !== null && age < WEANING_END);
  const isGrown = kind === "cow" || (kind === "bull" && age !== null && age >= BULL_GROWN);
  let limits = [-0.5, 6 * KG_PER_LB];
  if (isYoung) limits = [0.8 * KG_PER_LB, 4.5 * KG_PER_LB];
  else if (isGrown) limits = [-2.5, 2.5];
  const days = Math.max(span, 1);
  return [Math.min(limits[0], FILL[0] / days), Math.max(limits[1], FILL[1] / days)];
}

/** A weight as typed: the number, or a sentence why it is none. @param {string} text @returns {{weight: string} | {fault: string}} */
export function readWeight(text, unit) {
  const plain = text.trim().replace(",", ".");
  if (!/^(?:\d{1,4}(?:\.\d{0,3})?|\.\d{1,3})$/.test(plain)) return { fault: `“${text.trim()}” is not a weight.` };
  const value = Number(plain);
  if (toPounds(value, unit) > 4409) return { fault: `${plain} ${unit} is heavier than cattle get.` };
  if (!value) return { fault: "A weight of nothing can't be kept." };
  return { weight: String(value) };
}

/** @param {number} value @param {string} unit */
export function toPounds(value, unit) {
  return unit === "kg" ? value / KG_PER_LB : value;
}

/** Whole days from one day to another, both as 2026-03-14. @param {string} from @param {string} to */
export function daysBetween(from, to) {
  return Math.round((Date.parse(to) - Date.parse(from)) / DAY);
}

/** A sentence about a weight that needs a second look, empty where none does. @param {any} card @param {string} weight @param {string} unit @param {string} today */
export function doubtOfWeight(card, weight, unit, today) {
  if (!card) return "";
  const age = card.born_on && card.born_precision === "day" ? daysBetween(card.born_on, today) : null;
  const [low, high] = plausiblePounds(card.class, age);
  const pounds = toPounds(Number(weight), unit);
  if (pounds < low || pounds > high) {
    const shown = [low, high].map((one) => Math.round(unit === "kg" ? one * KG_PER_LB : one));
    return `${weight} ${unit} is unusual for this ${card.class}: ${shown[0]} to ${shown[1]} ${unit} is usual.`;
  }
  return doubtOfGain(card, pounds, age, unit, today);
}

function doubtOfGain(card, pounds, age, unit, today) {
  const last = (card.weights ?? []).find((one) => one.on && one.on < today && one.weight);
  if (!last) return "";
  const span = daysBetween(last.on, today);
  const gain = (pounds - toPounds(Number(last.weight), last.unit)) * KG_PER_LB;
  const [low, high] = plausibleGain(card.class, age, span);
  if (gain / span >= low && gain / span <= high) return "";
  return `The last weight was ${last.weight} ${last.unit} ${span} days ago: that change is unusual.`;
}
