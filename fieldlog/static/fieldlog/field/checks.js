// What the phone can tell to be wrong or odd before it goes. The server decides.

const unitOf = ({ unit }) => (unit ? ` ${unit}` : "");
const isNothing = (value) => value === null || value === undefined || value === "" || (Array.isArray(value) && !value.length);

// Number or null of what was typed.
export const numberIn = (text) => (/^-?(\d+\.?\d*|\.\d+)$/.test(text) ? Number(text) : null);

// Whether a step is asked at all, after what was answered and the protocol's settings.
export function isAsked({ when }, values, settings) {
  if (!when) return true;
  const [name, accepted] = when;
  return accepted.includes(values[name] ?? settings?.[name] ?? null);
}

// One sentence, or "" where it can be.
export function complaint(step, value) {
  if (isNothing(value)) return "";
  if (step.ask === "number") return numberComplaint(step, value);
  if (step.ask === "numbers") return value.map((each) => numberComplaint(step, each)).find(Boolean) ?? "";
  if (step.ask === "text" && value.length > step.longest) return `${step.label} has ${value.length} characters; at most ${step.longest} are accepted.`;
  if (step.ask !== "rows") return "";
  return value.flatMap((row) => step.columns.map((column) => complaint(column, row[column.name]))).find(Boolean) ?? "";
}

function numberComplaint(step, value) {
  if (value === null) return "";
  const isLow = step.least !== undefined && value < step.least;
  const isHigh = step.most !== undefined && value > step.most;
  if (!isLow && !isHigh && !(step.is_whole && !Number.isInteger(value))) return "";
  return `${step.label} is ${value}${unitOf(step)}; ${accepted(step)} is accepted.`;
}

function accepted(step) {
  const { least, most } = step;
  const what = step.is_whole ? "a whole number" : "a number";
  if (least !== undefined && most !== undefined) return `${what} from ${least} to ${most}${unitOf(step)}`;
  if (least !== undefined) return `${what} of at least ${least}${unitOf(step)}`;
  return most === undefined ? what : `${what} of at most ${most}${unitOf(step)}`;
}

const isOdd = ({ doubt_below: below, doubt_above: above }, value) =>
  typeof value === "number" && ((below !== undefined && value < below) || (above !== undefined && value > above));

// 'Soil at 170 °F?', or "" where nothing is odd about it.
export function doubtOf(step, value) {
  if (isNothing(value)) return "";
  if (step.ask === "number") return isOdd(step, value) ? question(step, value) : "";
  if (step.ask === "numbers") {
    const odd = value.find((each) => isOdd(step, each));
    return odd === undefined ? "" : question(step, odd);
  }
  if (step.ask !== "rows") return "";
  return value.flatMap((row) => step.columns.map((column) => doubtOf(column, row[column.name]))).find(Boolean) ?? "";
}

function question(step, value) {
  return step.doubt ? step.doubt.replace("{value}", value) : `${step.label}: ${value}${unitOf(step)}?`;
}

// What was answered, in words; "" where nothing was.
export function told(step, value) {
  if (isNothing(value)) return "";
  if (step.ask === "number") return `${value}${unitOf(step)}`;
  if (step.ask === "numbers") return value.length > 8 ? `${value.length} entries` : `${value.map((each) => each ?? "–").join(", ")}${unitOf(step)}`;
  if (step.ask === "choice") return step.choices.find((each) => each.value === value)?.label ?? value;
  if (step.ask === "flag") return value ? "Yes" : "No";
  if (step.ask === "points") return pointsTold(value);
  if (step.ask === "species") return value.name;
  if (step.ask === "rows") return value.length === 1 ? rowTold(step, value[0]) : `${value.length} entries`;
  return value;
}

export const pointsOf = (lines) => {
  const taps = lines.join("");
  const hits = taps.replaceAll("0", "").length;
  return { of: taps.length, hits, share: taps.length ? hits / taps.length : null };
};

function pointsTold(lines) {
  const { of, hits, share } = pointsOf(lines);
  return of ? `${hits} of ${of} points, ${Math.round(100 * share)} %` : "";
}

export function rowTold(step, row) {
  const parts = step.columns.map((column) => [column, told(column, row[column.name])]).filter(([, text]) => text);
  return parts.map(([column, text]) => (["species", "choice", "text"].includes(column.ask) ? text : `${column.label.toLowerCase()} ${text.toLowerCase()}`)).join(", ") || "nothing yet";
}
