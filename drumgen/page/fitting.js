// Fitting: how large lines of music can be so that the bars that are read at once are in sight together.

const READ_AT_ONCE = 4; // bars
const STAFF_SPACE = 180; // units of a line
const SMALLEST_SPACE = 5; // pixels
const UNDER = 6; // pixels that stay free under the lowest line

/** Pixels beside a line, for the numbers of bars: the style sheet says how many. */
export const STRIP_ASIDE = parseFloat(getComputedStyle(document.documentElement).getPropertyValue("--strip-aside"));

/** The room there is for lines while nothing but what is read stands over them. */
export function roomWhilePlaying(section) {
  const { classList } = document.body;
  const isPlaying = classList.contains("playing");
  classList.add("playing");
  const room = { width: section.clientWidth - STRIP_ASIDE, height: section.parentElement.clientHeight - UNDER };
  classList.toggle("playing", isPlaying);
  return room;
}

/**
 * How large an edition is when the bars read at once are all in sight, on two lines at least, so that the next can be
 * read in time; on fewer lines only where they would be smaller than can be read. `rank` compares editions.
 */
export function fitOf({ edition, lines, measures }, { width, height }) {
  const [{ full }] = lines;
  const played = measures.filter(({ role }) => role !== "landing");
  const body = lines.filter((line) => played.some((each) => each.line === line));
  const tallest = Math.max(...body.map((line) => line.height)); // a landing alone on its line is drawn smaller
  const whole = lines.reduce((sum, line) => sum + Math.min(line.height, tallest), 0);
  const bars = played.flatMap((measure) => measure.bars).length;
  const wanted = Math.max(Math.min(2, lines.length), Math.ceil((Math.min(READ_AT_ONCE, bars) * body.length) / bars));
  const unitOn = (count) => Math.min(width / full, height / (count === lines.length ? whole : count * tallest));
  const isLarge = (count) => unitOn(count) * STAFF_SPACE >= SMALLEST_SPACE;
  let count = wanted;
  while (count > 1 && !isLarge(count) && unitOn(count - 1) > unitOn(count)) count -= 1;
  const unit = unitOn(count);
  const slots = whole * unit <= height + 1 ? lines.length : Math.max(1, Math.floor(height / (tallest * unit)));
  return { edition, full, unit, slots, tallest: tallest * unit, rank: [Number(isLarge(count)), count / wanted, unit] };
}
