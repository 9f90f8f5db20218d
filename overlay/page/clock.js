// From the class's frames to seconds and back, and what a countdown shows. Positions are whole frames;
// seconds are counted from frame 0.

// A float of a class of 12 hours is right to a picosecond; this is far more, and far less than a frame.
const ROUNDING_FRAMES = 1e-6;

export class ClassClock {
  constructor(data) {
    [this.numerator, this.denominator] = data.rate;
    this.sampleRateHz = data.sample_rate_hz;
    this.segments = data.segments;
    this.frameCount = data.frames;
    this.starts = data.segments.map((segment) => segment.frames[0]);
    this.endSeconds = this.secondsOf(data.frames);
    this.wholeLabel = minutesLabel(data.segments[data.segments.length - 1].end_s);
  }

  // A place in the class to read. A frame stands for the exact time that it was rounded from.
  label(seconds) {
    return minutesLabel(seconds + this.secondsOf(0.5));
  }

  secondsOf(frame) {
    return (frame * this.denominator) / this.numerator;
  }

  // The time of a beep: on its frame's sample (nearest, halves up), as the tone track has it.
  beepSecondsOf(frame) {
    const samples = Math.floor((2 * frame * this.denominator * this.sampleRateHz + this.numerator) / (2 * this.numerator));
    return samples / this.sampleRateHz;
  }

  // The frame that is shown at a time.
  frameAt(seconds) {
    const frame = Math.floor((seconds * this.numerator) / this.denominator + ROUNDING_FRAMES);
    return Math.min(Math.max(frame, 0), this.frameCount - 1);
  }

  // The number of the segment that a frame stands in.
  segmentAt(frame) {
    return lastNotAfter(this.starts, frame);
  }

  // Whole seconds left, as the timer of the pictures shows them: a digit changes on the frame nearest
  // to its exact time before the segment's end.
  secondsShown(segment, frame) {
    const most = Math.ceil(segment.length_s - ROUNDING_FRAMES);
    let shown = Math.min(Math.max(Math.ceil(segment.end_s - this.secondsOf(frame)) + 1, 1), most);
    while (shown > 1 && frame >= this.#frameOfDigit(segment, shown - 1)) shown -= 1;
    return shown;
  }

  #frameOfDigit(segment, seconds) {
    const exact = ((segment.end_s - seconds) * this.numerator) / this.denominator;
    return Math.floor(exact + 0.5 + ROUNDING_FRAMES);
  }

  // The first and the last number of the segments of a block; a segment without a block stands alone.
  blockAround(number) {
    const { block } = this.segments[number];
    let [first, last] = [number, number];
    if (block === null) return [first, last];
    while (first > 0 && this.segments[first - 1].block === block) first -= 1;
    while (last < this.segments.length - 1 && this.segments[last + 1].block === block) last += 1;
    return [first, last];
  }
}

// The place of the last of some ascending numbers that is not after one; 0 where there is none.
export function lastNotAfter(ascending, value) {
  let [low, high] = [0, ascending.length - 1];
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (ascending[middle] <= value) low = middle;
    else high = middle - 1;
  }
  return low;
}

// Seconds as people read them on a countdown: 7, 99, 1:40.
export function countdownLabel(seconds) {
  return seconds < 100 ? String(seconds) : minutesLabel(seconds);
}

// Seconds as a place in the class: 0:07, 12:40, 1:02:03.
export function minutesLabel(seconds) {
  const whole = Math.max(0, Math.floor(seconds + ROUNDING_FRAMES));
  const [hours, minutes, rest] = [Math.floor(whole / 3600), Math.floor(whole / 60) % 60, whole % 60];
  const two = (number) => String(number).padStart(2, "0");
  return hours ? `${hours}:${two(minutes)}:${two(rest)}` : `${minutes}:${two(rest)}`;
}

// A length to read, in the words of the class: 7 s, 2.4 s, 1:40.
export function lengthLabel(seconds, words, decimals = 0) {
  const shown = Number(seconds.toFixed(decimals));
  return shown < 100 ? words.seconds.replace("{seconds}", shown) : minutesLabel(shown);
}
