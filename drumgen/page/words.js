// Words: what the page says of bars, limbs and tempos, to be read and to be heard.

export const LIMBS = { R: "right hand", L: "left hand", K: "kick foot", H: "hi-hat foot" };

const CLICKS = {
  "": "no click", quarters: "click on quarters", eighths: "click on eighths", "off-beats": "click on the off-beats",
  "2 and 4": "click on 2 and 4", beats: "click on the beats", first: "click on the first of the bar",
};

export function voiceWords(name) {
  return name.replaceAll("-", " ").replace("hihat", "hi-hat");
}

export function tempoWords(number) {
  return String(Math.round(number * 10) / 10);
}

export function barsWords(numbers, { isRange = false } = {}) {
  const [first, last] = [numbers[0], numbers.at(-1)];
  if (first === last) return first === 0 ? "the pickup" : `bar ${first}`;
  const isRow = isRange || numbers.every((number, index) => number === first + index);
  return isRow ? `bars ${first} to ${last}` : `bars ${numbers.slice(0, -1).join(", ")} and ${last}`;
}

/** The chosen bars in words. */
export function chosenWords({ first, last, numbers }) {
  return barsWords(numbers ?? [...new Set([first, last])], { isRange: !numbers });
}

/** What a bar of the staff is called. */
export function measureWords({ bars, name, role, sticking }) {
  if (role === "landing") return `landing${sticking ? `, ${sticking}` : ""}`;
  const parts = [barsWords(bars), name, role === name ? "" : role, sticking && `sticking ${sticking}`];
  return parts.filter(Boolean).join(", ");
}

/** What is said when playing starts. */
export function startWords(phrase, settings) {
  const { tempo, half, ladder, click } = settings;
  const speed = ladder ? `from ${tempoWords(ladder.from)} to ${tempoWords(ladder.to)}` : tempoWords(half ? tempo / 2 : tempo);
  return `Playing ${phrase.title}, ${chosenWords(settings)}, ${phrase.unit} ${speed}, ${CLICKS[click]}.`;
}

export function spanWords(span) {
  const kinds = { "count-in": "Count-in", rest: "Rest", answer: "Your answer", landing: "Landing" };
  if (span.kind !== "bar") return kinds[span.kind];
  const { name, role } = span.shape;
  return role === "groove" || name === role ? name : `${name}, ${role}`;
}
